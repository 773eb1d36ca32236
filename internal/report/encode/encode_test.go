package encode

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNumbersReadBackExactly(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64().Draw(rt, "v")
		var got *float64
		if err := json.Unmarshal(Number(nil, v, "null"), &got); err != nil {
			rt.Fatal(err)
		}
		if absent := math.IsInf(v, 0) || math.IsNaN(v); absent != (got == nil) || !absent && *got != v {
			rt.Fatalf("%g came back as %v", v, got)
		}
	})
}

func TestTextsReadBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := rapid.String().Draw(rt, "s")
		var got string
		if err := json.Unmarshal(JSONText(nil, s), &got); err != nil || got != s {
			rt.Fatalf("JSON: %q came back as %q, %v", s, got, err)
		}
		if strings.ContainsRune(s, '\r') {
			return // encoding/csv reads \r\n as \n, as RFC 4180 lets it
		}
		fields, err := csv.NewReader(strings.NewReader("a," + string(CSVText(nil, s)) + ",b\n")).Read()
		if err != nil || len(fields) != 3 || fields[1] != s {
			rt.Fatalf("CSV: %q came back as %q, %v", s, fields, err)
		}
	})
}
