package journal

import (
	"encoding/json"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestKindNames holds the table against the list of the log's format.
func TestKindNames(t *testing.T) {
	const names = "opened, basis, reading, ullage, gas, pump, speed, valve, limit, request, tank, event, note, ticked, alert, shore-figure, handover, correction, recovered, closed"
	list := strings.Split(names, ", ")
	for _, name := range list {
		if !Kind(name).Known() || !wellFormed(Kind(name)) {
			t.Errorf("%s is not known", name)
		}
	}
	if len(kinds) != len(list) || Kind("weather-report").Known() {
		t.Errorf("%d kinds known, want %d", len(kinds), len(list))
	}
}

func TestBodies(t *testing.T) {
	tests := []struct {
		data string
		want Body
	}{
		{`{"pump":"COP 1","speed":"1300 rpm","suction":"0.62 bar","discharge":"9.87 bar","unchanged":["suction"]}`,
			Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: "9.87 bar", Unchanged: []string{"suction"}}},
		{`{"pump":"COP 1","discharge":"9.1±0.2 bar"}`, Reading{Pump: "COP 1", Discharge: "9.1±0.2 bar"}},
		{`{"manifold":"M2","pressure":"8.21 bar"}`, Reading{Manifold: "M2", Pressure: "8.21 bar"}},
		{`{"manifold":"M2","pressure":"8.21 bar","unchanged":["pressure"]}`,
			Reading{Manifold: "M2", Pressure: "8.21 bar", Unchanged: []string{"pressure"}}},
		{`{"tank":"4C","ullage":"11.34 m"}`, Ullage{Tank: "4C", Ullage: "11.34 m"}},
		{`{"text":"line 1\nline 2 < 3"}`, Note{Text: "line 1\nline 2 < 3"}},
		{`{"torn":"pumping-log.jsonl.torn","bytes":17}`, Recovered{Torn: "pumping-log.jsonl.torn", Bytes: 17}},
		{`{}`, Closed{}},
	}
	for _, tt := range tests {
		t.Run(string(tt.want.Kind())+" "+tt.data, func(t *testing.T) {
			got, err := Entry{Kind: tt.want.Kind(), Data: []byte(tt.data)}.Body()
			if err != nil || !reflect.DeepEqual(got, tt.want) {
				t.Errorf("read as %+v, %v", got, err)
			}
			if data, err := encode(tt.want); err != nil || string(data) != tt.data {
				t.Errorf("written as %s, %v", data, err)
			}
		})
	}
}

func TestBodiesRefused(t *testing.T) {
	tests := []struct {
		kind       Kind
		data, want string
	}{
		{KindReading, `{"speed":"1300 rpm"}`, "manifold: empty"},
		{KindReading, `{"pump":"COP 1"}`, "no figure read"},
		{KindReading, `{"pump":"COP 1","speed":""}`, "no figure read"},
		{KindReading, `{"pump":" ","speed":"1300 rpm"}`, "pump: empty"},
		{KindReading, `{"pump":"COP 1","speed":"  "}`, "speed: empty"},
		{KindReading, `{"pump":"COP 1","manifold":"M2","pressure":"8 bar"}`, "want one of them"},
		{KindReading, `{"pump":"COP 1","pressure":"8 bar"}`, "not a figure of a pump"},
		{KindReading, `{"manifold":"M2","suction":"8 bar"}`, "not a figure of a manifold"},
		{KindReading, `{"pump":"COP 1","speed":"1300 rpm","unchanged":["suction"]}`, `unchanged "suction"`},
		{KindReading, `{"pump":"COP 1","speed":"1300 rpm","unchanged":["pump"]}`, `unchanged "pump"`},
		{KindReading, `{"pump":"COP 1","speed":"1300 rpm","unchanged":["speed","speed"]}`, `unchanged "speed"`},
		{KindReading, `{"pump":"COP 1","speed":1300}`, "speed"},
		{KindReading, `{"pump":"COP 1","sucktion":"0.6 bar"}`, "sucktion"},
		{KindReading, `{"pump":"COP 1","speed":"13\u001b[1m rpm"}`, "control character"},
		{KindReading, `{"pump":"COP 1","speed":"1300 rpm"`, "unexpected EOF"},
		{KindReading, ``, "EOF"},
		{KindUllage, `{"tank":"4C"}`, "ullage: empty"},
		{KindUllage, `{"ullage":"1 m"}`, "tank: empty"},
		{KindUllage, `{"tank":"4C","ullage":"1 m","unchanged":["ullage"]}`, "unchanged"},
		{KindNote, `{"text":"\n "}`, "text: empty"},
		{KindNote, `{"text":"\u0007"}`, "control character"},
		{KindRecovered, `{"torn":"x","bytes":0}`, "bytes 0"},
		{KindRecovered, `{"torn":"","bytes":1}`, "torn: empty"},
		{KindClosed, `{"why":"x"}`, "why"},
		{KindOpened, `{"format":"training","version":"","files":{}}`, "version: empty"},
		{KindOpened, `{"format":"","version":"1","files":{}}`, `want "real" or "training"`},
		{KindOpened, `{"format":"real","version":"1","files":{"../ship.yaml":{"sum":"` + strings.Repeat("0", 64) + `","bytes":""}}}`, "path inside the folder"},
		{KindOpened, `{"format":"real","version":"1","files":{"ship.yaml":{"sum":"` + strings.Repeat("0", 64) + `","bytes":""}}}`, "has not the sum"},
		{KindOpened, `{"format":"real","version":"1","files":{"ship.yaml":{"sum":"00","bytes":""}}}`, "want 64"},
	}
	for _, tt := range tests {
		t.Run(string(tt.kind)+" "+tt.data, func(t *testing.T) {
			body, err := Entry{Kind: tt.kind, Data: []byte(tt.data)}.Body()
			if err == nil {
				t.Fatalf("read as %+v", body)
			}
			if !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), string(tt.kind)+": ") {
				t.Errorf("error %q does not say %q", err, tt.want)
			}
		})
	}
}

func TestRawKinds(t *testing.T) {
	for _, kind := range []Kind{KindRequest, KindCorrection, "weather-report"} {
		if _, err := (Entry{Kind: kind, Data: []byte(`{"a":1}`)}).Body(); !errors.Is(err, ErrRaw) {
			t.Errorf("%s: %v", kind, err)
		}
	}
}

// TestPlainIsJSON: where the short way reads something, encoding/json reads the
// same.
func TestPlainIsJSON(t *testing.T) {
	piece := rapid.SampledFrom([]string{`{`, `}`, `[`, `]`, `,`, `:`, `"`, `"pump"`, `"speed"`, `"suction"`, `"unchanged"`, `"Speed"`,
		`"COP 1"`, `"1300 rpm"`, `""`, `"\u0041"`, `"±"`, `{"pump":"COP 1","speed":"1 rpm"`, `["speed"]`, `"suction":"1 bar"`, `1`, `null`, ` `})
	rapid.Check(t, func(t *rapid.T) {
		s := strings.Join(rapid.SliceOfN(piece, 0, 12).Draw(t, "pieces"), "")
		var short, long Reading
		if !plain(s, short.field, &short.Unchanged) {
			return
		}
		if err := json.Unmarshal([]byte(s), &long); err != nil || !reflect.DeepEqual(short, long) {
			t.Fatalf("%s: %+v, but encoding/json says %+v, %v", s, short, long, err)
		}
	})
	for _, s := range []string{`{"pump":"COP 1","speed":"1300 rpm"}`, `{"unchanged":["speed","suction"],"pump":"x"}`} {
		var r Reading
		if !plain(s, r.field, &r.Unchanged) {
			t.Errorf("%s goes the long way", s)
		}
	}
}

func FuzzBody(f *testing.F) {
	f.Add("reading", []byte(`{"pump":"COP 1","speed":"1300 rpm","unchanged":["speed"]}`))
	f.Add("ullage", []byte(`{"tank":"4C","ullage":"11.34 m"}`))
	f.Add("note", []byte(`{"text":"x"}`))
	f.Add("opened", []byte(`{"format":"real","version":"1","files":{"a":{"sum":"","bytes":"x"}}}`))
	f.Add("recovered", []byte(`{"torn":"x","bytes":3}`))
	f.Fuzz(func(t *testing.T, kind string, data []byte) {
		e := Entry{Kind: Kind(kind), Data: slices.Clone(data)}
		body, err := e.Body()
		if err != nil {
			return
		}
		again, err := encode(body)
		if err != nil {
			t.Fatal(err)
		}
		other, err := Entry{Kind: body.Kind(), Data: again}.Body()
		if err != nil {
			t.Fatalf("%s: %v", again, err)
		}
		if r, ok := body.(Reading); ok && len(r.Unchanged) == 0 {
			r.Unchanged = nil // [] and no key are the same
			body = r
		}
		if !reflect.DeepEqual(other, body) {
			t.Fatalf("%+v became %+v", body, other)
		}
	})
}
