package batch

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"example.org/headwatch/internal/report/stream"
)

const header = "time,pump,speed,suction,discharge\n"

// decoded is an NDJSON or JSON record.
type decoded map[string]any

func decodeLines(t testing.TB, text string) (all []decoded) {
	t.Helper()
	for line := range strings.Lines(text) {
		var d decoded
		if err := json.Unmarshal([]byte(line), &d); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		all = append(all, d)
	}
	return all
}

// TestBadRows: each row has an error in its place, and the row after it is
// computed all the same.
func TestBadRows(t *testing.T) {
	const good = ",COP 2,1300,0.6,9.1\n"
	tests := []struct{ name, row, column, why string }{
		{"unknown pump", ",COP 22,1300,0.6,9.1", "pump", `no such pump "COP 22", nearest: COP 2`},
		{"no pump", ",,1300,0.6,9.1", "pump", `no such pump "", want one of COP 1, COP 2, COP 3`},
		{"strange pump", ",windlass,1300,0.6,9.1", "pump", "want one of COP 1, COP 2, COP 3"},
		{"stopped", ",COP 1,0,0.6,9.1", "speed", `speed "0": the pump stands still`},
		{"negative speed", ",COP 1,-1300,0.6,9.1", "speed", `speed "-1300": want a speed above 0`},
		{"no speed", ",COP 1,,0.6,9.1", "speed", `speed "": want a number`},
		{"not a number", ",COP 1,1300,NaN,9.1", "suction", `pressure "NaN": want a number`},
		{"infinite", ",COP 1,1300,0.6,Inf", "discharge", `pressure "Inf": want a number`},
		{"too large", ",COP 1,1300,0.6,1e400", "discharge", `pressure "1e400": too large to compute with`},
		{"large", ",COP 1,1300,0.6,1e300", "discharge", `pressure "1e300": want no more than 10000 bar`},
		{"fast", ",COP 1,1e6,0.6,9.1", "speed", `speed "1e6": want no more than 100000 rpm`},
		{"decimal comma", `,COP 1,1300,"0,6",9.1`, "suction", `"0,6": decimal comma, want a dot`},
		{"thousands", `,COP 1,1 300,0.6,9.1`, "speed", "write thousands without separators"},
		{"unknown unit", ",COP 1,1300,0.6 brr,9.1", "suction", `unknown unit "brr", nearest: bar`},
		{"other unit", ",COP 1,1300,0.6 m3/h,9.1", "suction", `"m3/h" is a unit of flow`},
		{"fields too few", ",COP 1,1300,0.6", "", "found 4 fields, want 5"},
		{"fields too many", ",COP 1,1300,0,6,9.1", "", "found 6 fields, want 5"},
		{"spaces only", "   ", "", "found 1 fields, want 5"},
		{"open quote", `"2026,COP 1,1300,0.6,9.1`, "", "a quote is not closed in its line"},
		{"bare quote", `20"26,COP 1,1300,0.6,9.1`, "", "a quote in the middle of a field"},
		{"binary", "\x00\xff\xfe,COP 1,1300,\x1b[31m,9.1", "suction", `pressure "\x1b[31m": want a number`},
		{"long", strings.Repeat("9", 3*stream.ChunkSize), "", "longer than 65536 bytes"},
	}
	b := newBatch(t, NDJSON)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			out, tally := runText(t, b, header+good+tt.row+"\n"+good)
			records := decodeLines(t, out)
			if tally != (Tally{Rows: 3, Bad: 1}) || len(records) != 3 {
				t.Fatalf("%+v, %d records", tally, len(records))
			}
			if records[0]["flow_m3h"] == nil || records[2]["flow_m3h"] != records[0]["flow_m3h"] {
				t.Error("the good rows are not computed")
			}
			bad := records[1]
			fault, ok := bad["error"].(map[string]any)
			if !ok {
				t.Fatalf("no error in %v", bad)
			}
			if column, _ := fault["column"].(string); fault["row"] != 3.0 || column != tt.column {
				t.Errorf("at row %v, column %q; want 3, %q", fault["row"], column, tt.column)
			}
			if why := fault["why"].(string); !strings.Contains(why, tt.why) || len(why) > 300 {
				t.Errorf("why %q, want %q", why, tt.why)
			}
			for i := range figures {
				if v, ok := bad[figures[i].name]; v != nil || !ok {
					t.Errorf("%s is %v, want null", figures[i].name, v)
				}
			}
		})
	}
}

// TestForgiven: what differs in spelling only is the same reading.
func TestForgiven(t *testing.T) {
	b := newBatch(t, NDJSON)
	want, _ := runText(t, b, header+",COP 2,1300,0.60,9.10\n")
	for name, text := range map[string]string{
		"CRLF":             "time,pump,speed,suction,discharge\r\n,COP 2,1300,0.60,9.10\r\n",
		"BOM":              "\ufeff" + header + ",COP 2,1300,0.60,9.10\n",
		"no last line end": header + ",COP 2,1300,0.60,9.10",
		"empty lines":      header + "\n\n,COP 2,1300,0.60,9.10\n\r\n",
		"order and case":   "Discharge, SPEED ,suction,pump\n9.10,1300,0.60,COP 2\n",
		"quotes":           header + `"","COP 2","1300","0.60","9.10"` + "\n",
		"spaces":           header + ", cop2 , 1300 , 0.60 , 9.10 \n",
		"number of pump":   header + ",2,1300,0.60,9.10\n",
		"units":            header + ",COP 2,1300 rpm,60.0e-2 bar,9.10bar\n",
	} {
		if got, _ := runText(t, b, text); got != want && name != "units" {
			t.Errorf("%s:\n got %s\nwant %s", name, got, want)
		} else if name == "units" && decodeLines(t, got)[0]["head_m"] != decodeLines(t, want)[0]["head_m"] {
			t.Errorf("%s: %s", name, got)
		}
	}
}

// TestUnits: a unit after the number is minded. 1 kgf/cm2 is 0.980665 bar
// (NIST SP 811, Appendix B).
func TestUnits(t *testing.T) {
	b := newBatch(t, NDJSON)
	out, _ := runText(t, b, header+",COP 2,1300,0.980665,9.80665\n,COP 2,1300,1 kgf/cm2,10 kgf/cm2\n")
	r := decodeLines(t, out)
	a, c := r[0]["head_m"].(float64), r[1]["head_m"].(float64)
	if math.Abs(a-c) > 1e-9 {
		t.Errorf("heads %v and %v, want the same", a, c)
	}
}

// TestPrecision: fewer digits make wider bounds.
func TestPrecision(t *testing.T) {
	b := newBatch(t, NDJSON)
	out, _ := runText(t, b, header+",COP 2,1300,0.600,9.100\n,COP 2,1300,1±1,9.1\n")
	r := decodeLines(t, out)
	if fine, coarse := r[0]["head_u95_m"].(float64), r[1]["head_u95_m"].(float64); !(coarse > 1.5*fine) {
		t.Errorf("U95 of the head %v and %v, want the second much wider", fine, coarse)
	}
}

// TestDensity: where the density of a reading comes from. The pressure part of
// the head goes with 1/density (ISO 9906, pump total head), so that a flow is
// known by the density that gave it.
func TestDensity(t *testing.T) {
	s, p := shipAndPlan(t)
	const row = ",COP 2,1300,0.6,9.1"
	const with = "time,pump,speed,suction,discharge,density\n"
	make := func(o Options) *Batch {
		o.Ship, o.Format, o.Say = s, NDJSON, func(string) {}
		b, err := New(o)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	head := func(b *Batch, text string) float64 {
		out, _ := runText(t, b, text)
		r := decodeLines(t, out)[0]
		if r["error"] != nil {
			t.Fatal(r["error"])
		}
		return r["head_m"].(float64)
	}
	want := head(make(Options{Density: "900 kg/m3"}), header+row+"\n")
	for name, got := range map[string]float64{
		"flag over plan":     head(make(Options{Plan: p, Density: "900"}), header+row+"\n"),
		"relative":           head(make(Options{Density: "0.9 rel"}), header+row+"\n"),
		"row over plan":      head(make(Options{Plan: p}), with+row+",900\n"),
		"row over flag":      head(make(Options{Density: "858"}), with+row+",0.900 rel\n"),
		"row alone":          head(make(Options{}), with+row+",900 kg/m3\n"),
		"flag for empty one": head(make(Options{Density: "900"}), with+row+",\n"),
	} {
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: head %v, want %v", name, got, want)
		}
	}
	if planned := head(make(Options{Plan: p}), header+row+"\n"); planned < want+1 {
		t.Errorf("head by the plan's lighter cargo %v, want well over %v", planned, want)
	}
	for text, says := range map[string]string{
		with + row + ",\n":    "density not given",
		with + row + ",0.9\n": `density "0.9": want 400..1200 kg/m3`,
	} {
		out, _ := runText(t, make(Options{}), text)
		if fault, _ := decodeLines(t, out)[0]["error"].(map[string]any); !strings.Contains(fault["why"].(string), says) {
			t.Errorf("%q: %v, want %q", text, fault, says)
		}
	}
	if _, err := New(Options{Ship: s, Density: "858 kg"}); err == nil {
		t.Error("a density of 858 kg is taken")
	}
}

// TestOne: a single reading as keyed.
func TestOne(t *testing.T) {
	b := newBatch(t, NDJSON)
	want, _ := runText(t, b, header+",COP 2,1300,0.6,9.1\n")
	var out strings.Builder
	if err := b.One(Row{Pump: "cop2", Speed: "1300", Suction: "0,6", Discharge: "9,1 bar"}, &out); err != nil || out.String() != want {
		t.Errorf("%v\n got %s\nwant %s", err, out.String(), want)
	}
	out.Reset()
	err := b.One(Row{Pump: "COP 2", Speed: "1300", Suction: "x", Discharge: "9.1"}, &out)
	if err == nil || err.Error() != `suction: pressure "x": want a number` || out.Len() > 0 {
		t.Errorf("error %v, written %q", err, out.String())
	}
}
