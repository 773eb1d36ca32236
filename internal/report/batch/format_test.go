package batch

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/headwatch/internal/report/encode"
)

// The fields of a record in their order: the contract with whoever reads them.
const contract = "time,pump,speed_rpm,head_m,flow_m3h,flow_other_m3h,flow_low_m3h,flow_high_m3h,head_u95_m," +
	"flow_u95_m3h,efficiency,power_kw,npsh_available_m,npsh_required_m,npsh_margin_m,state,flags"

// Of these the first is plain, the second has no flow, two flags and a time that
// needs quotes, the third is beyond the end, the last is bad.
const mixed = header + `2026-03-01T00:00:00+01:00,COP 1,1300,0.6,9.1
"1 March, ""noon""",COP 2,1300,0.6,14.2
,COP 3,740,1,1.2
14:00,COP 3,0,1,1.2
`

func TestFields(t *testing.T) {
	if got := csvHead(); got != contract+",error\n" {
		t.Errorf("CSV header %s", got)
	}
	out, _ := runText(t, newBatch(t, NDJSON), mixed)
	for i, line := range strings.Split(strings.TrimSpace(out), "\n") {
		want := contract
		if i == 3 {
			want += ",error"
		}
		var keys []string
		for _, m := range regexp.MustCompile(`[{,]"([a-z0-9_]+)":`).FindAllStringSubmatch(strings.Split(line, `{"row"`)[0], -1) {
			keys = append(keys, m[1])
		}
		if got := strings.Join(keys, ","); got != want {
			t.Errorf("keys of record %d: %s", i, got)
		}
	}
}

// TestFormatsAgree: CSV and JSON hold what NDJSON does.
func TestFormatsAgree(t *testing.T) {
	lines, _ := runText(t, newBatch(t, NDJSON), mixed)
	want := decodeLines(t, lines)
	array, _ := runText(t, newBatch(t, JSON), mixed)
	var got []decoded
	if err := json.Unmarshal([]byte(array), &got); err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("json %v: %s", err, array)
	}
	table, tally := runText(t, newBatch(t, CSV), mixed)
	if tally != (Tally{Rows: 4, Bad: 1}) {
		t.Error(tally)
	}
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, record := range want {
		for k, name := range rows[0] {
			if got, want := rows[i+1][k], asCSV(record[name]); got != want {
				t.Errorf("record %d: %s is %q, want %q", i, name, got, want)
			}
		}
	}
}

// asCSV returns a decoded JSON value as it stands in CSV.
func asCSV(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case float64:
		return strings.TrimSpace(string(encode.Number(nil, v, "")))
	case []any:
		return strings.Trim(fmt.Sprint(v), "[]")
	case map[string]any:
		return fmt.Sprintf("row %v, %v", v["row"], v["why"])
	}
	return v.(string)
}

// TestAbsent: what can't be had is null.
func TestAbsent(t *testing.T) {
	out, _ := runText(t, newBatch(t, NDJSON), mixed)
	r := decodeLines(t, out)
	for i, want := range []struct{ state, absent, present string }{
		{"ok", "flow_other_m3h", "flow_m3h,flow_low_m3h,flow_high_m3h,flow_u95_m3h,power_kw,npsh_margin_m"},
		{"above-curve", "flow_m3h,flow_u95_m3h,efficiency,power_kw,npsh_required_m", "head_m,flow_low_m3h,flow_high_m3h"},
		{"beyond-end", "flow_high_m3h,flow_u95_m3h,efficiency,power_kw", "flow_m3h,flow_low_m3h"},
	} {
		if r[i]["state"] != want.state {
			t.Errorf("record %d: state %v, want %s", i, r[i]["state"], want.state)
		}
		for name := range strings.SplitSeq(want.absent, ",") {
			if v, ok := r[i][name]; v != nil || !ok {
				t.Errorf("record %d: %s is %v, want null", i, name, v)
			}
		}
		for name := range strings.SplitSeq(want.present, ",") {
			if r[i][name] == nil {
				t.Errorf("record %d: no %s", i, name)
			}
		}
	}
	if r[2]["time"] != nil || r[1]["time"] != `1 March, "noon"` {
		t.Errorf("times %v and %v", r[2]["time"], r[1]["time"])
	}
	if flags := r[2]["flags"].([]any); !slices.Contains(flags, any("near-curve-end")) {
		t.Errorf("flags %v", flags)
	}
}

// TestNumbers: every digit, in a form that JSON has.
func TestNumbers(t *testing.T) {
	for _, v := range []float64{0, 1, -1, 0.1, 1e-7, 1e20, 1e21, 1.7976931348623157e308, 5e-324, 123456.789} {
		want, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var back float64
		got := encode.Number(nil, v, "null")
		if err := json.Unmarshal(got, &back); err != nil || back != v || len(got) > len(want)+1 {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// TestTable: columns stand in line and nothing breaks the terminal.
func TestTable(t *testing.T) {
	out, _ := runText(t, newBatch(t, Table), mixed+"\x1b[2J,COP 1,1300,0.6,9.1\n")
	if strings.Contains(out, "\x1b") {
		t.Errorf("a control character passes:\n%q", out)
	}
	lines := strings.Split(out, "\n")
	if at := strings.Index(lines[2], "COP 1"); at != strings.Index(lines[0], "pump") {
		t.Errorf("pump stands at %d:\n%s", at, out)
	}
	for _, want := range []string{"ok", "–", "above-curve", "beyond-end, near-curve-end", `row 5, speed "0": the pump stands still`} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	rows := strings.Split(out, "\n")
	for _, title := range []string{"head", "flow", "margin"} {
		end := utf8.RuneCountInString(rows[0][:strings.Index(rows[0], " "+title)+1+len(title)])
		if value := []rune(rows[2]); value[end-1] == ' ' || value[end] != ' ' {
			t.Errorf("%s is out of line:\n%s", title, out)
		}
	}
}

// TestListing: one reading as a table is a list that names each figure.
func TestListing(t *testing.T) {
	var out strings.Builder
	if err := newBatch(t, Table).One(Row{Pump: "1", Speed: "1300", Suction: "0.6", Discharge: "9.1"}, &out); err != nil {
		t.Fatal(err)
	}
	for _, f := range figures {
		if !strings.Contains(out.String(), f.words) {
			t.Errorf("no %q in\n%s", f.words, out.String())
		}
	}
	if !regexp.MustCompile(`(?m)^pump +COP 1$`).MatchString(out.String()) || !regexp.MustCompile(`(?m)^speed +1300 rpm$`).MatchString(out.String()) {
		t.Error(out.String())
	}
}

func TestParseFormat(t *testing.T) {
	for _, f := range Formats() {
		if got, err := ParseFormat(string(f)); got != f || err != nil {
			t.Error(got, err)
		}
	}
	if _, err := ParseFormat("xml"); err == nil || !strings.Contains(err.Error(), `"xml": want table, csv, ndjson or json`) {
		t.Error(err)
	}
}
