package cargo_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/cargo"
)

const goodTable = "ullage_m,trim_0_m,trim_1.5_m\n0.00,1000.0,985.5\n0.25,900.0,886.0\n"

func TestParseTable(t *testing.T) {
	tests := []struct{ name, text string }{
		{"plain", goodTable},
		{"CRLF", strings.ReplaceAll(goodTable, "\n", "\r\n")},
		{"byte order mark", "\ufeff" + goodTable},
		{"no last newline", strings.TrimSuffix(goodTable, "\n")},
		{"comments and empty lines", "# of tank 1C\n\n" + strings.ReplaceAll(goodTable, "\n", "\n\n# note, with a comma\n")},
		{"spaces", strings.ReplaceAll(goodTable, ",", " , ")},
		{"quoted", strings.ReplaceAll(goodTable, "1000.0", `"1000.0"`)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tab, err := cargo.ParseTable("1c.csv", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			// By hand: halfway in both is the mean of the four corners.
			if v, err := tab.Volume(0.125, 0.75); err != nil || math.Abs(v-942.875) > 1e-9 {
				t.Errorf("Volume = %g, %v, want 942.875", v, err)
			}
		})
	}
}

func TestParseTableByTheHead(t *testing.T) {
	tab, err := cargo.ParseTable("1c.csv", []byte("ullage_m,trim_-1_m,trim_0_m\n1,90,80\n2,50,40\n"))
	if err != nil {
		t.Fatal(err)
	}
	if v, err := tab.Volume(1, -0.5); v != 85 || err != nil {
		t.Errorf("Volume = %g, %v, want 85, halfway between 90 and 80", v, err)
	}
}

func TestParseTableRefuses(t *testing.T) {
	const head = "ullage_m,trim_0_m,trim_1_m\n"
	tests := []struct {
		name, text string
		says       []string // one for each mistake, in order
	}{
		{"empty", "", []string{"t.csv:1:1: no header"}},
		{"comments only", "# nothing\n", []string{"t.csv:1:1: no header"}},
		{"header only", head, []string{"t.csv:1:1: 0 ullages: want at least two"}},
		{"one row", head + "1,9,8\n", []string{"t.csv:1:1: 1 ullages"}},
		{"no trims", "ullage_m\n1\n2\n", []string{"t.csv:1:1: no trims"}},
		{"wrong header", "depth,trim_0_m\n1,9\n2,8\n", []string{`t.csv:1:1: header "depth": want ullage_m`}},
		{"semicolons", "ullage_m;trim_0_m\n1;9\n2;8\n", []string{"separated by commas"}},
		{"not a trim", "ullage_m,trim_0_m,trim_x_m\n1,9,8\n2,8,7\n", []string{`t.csv:1:19: header "trim_x_m"`}},
		{"trims fall", "ullage_m,trim_1_m,trim_0_m\n1,9,8\n2,8,7\n", []string{"t.csv:1:19: trim 0 m after 1 m"}},
		{"decimal commas", head + "1,9,8\n1,5,8,5,7,5\n2,7,6\n", []string{"t.csv:3:1: 6 fields: want 3"}},
		{"short row", head + "1,9,8\n2,7\n3,6,5\n", []string{"t.csv:3:1: 2 fields: want 3"}},
		{"not a number", head + "1,9,8\n2,seven,7\n3,6,5\n", []string{`t.csv:3:3: "seven": want a number`}},
		{"NaN", head + "1,9,8\n2,7,NaN\n3,6,5\n", []string{`t.csv:3:5: "NaN"`}},
		{"infinite", head + "1,9,8\n2,Inf,7\n3,6,5\n", []string{`t.csv:3:3: "Inf"`}},
		{"too large", head + "1,1e400,8\n2,7,6\n", []string{`t.csv:2:3: "1e400"`}},
		{"hexadecimal", head + "1,0x1p8,8\n2,7,6\n", []string{`"0x1p8"`}},
		{"empty field", head + "1,,8\n2,7,6\n", []string{`t.csv:2:3: ""`}},
		{"negative volume", head + "1,9,8\n2,-7,6\n", []string{"t.csv:3:3: volume -7"}},
		{"negative ullage", head + "-1,9,8\n2,7,6\n", []string{"t.csv:2:1: ullage -1"}},
		{"ullage falls", head + "2,9,8\n1,7,6\n", []string{"t.csv:3:1: ullage 1 m after 2 m"}},
		{"volume rises", head + "1,9,8\n2,7,9\n", []string{"t.csv:3:5: volume 9 m3 under 8 m3"}},
		{"open quote", head + "1,\"9,8\n2,7,6\n", []string{"at least two", "t.csv:3:7: extraneous"}},
		{"all at once", "ullage_m,trim_0_m,trim_0_m\n1,9,x\n2,-3,6\n1,2,5\n", []string{
			"t.csv:1:19: trim 0 m after 0 m", `t.csv:2:5: "x"`, "t.csv:3:3: volume -3", "t.csv:4:1: ullage 1 m after 2 m", "t.csv:4:3: volume 2",
		}},
		{"after comments", "# one\n\n# two\n" + head + "1,9,8\n2,x,6\n3,5,4\n", []string{"t.csv:6:3"}},
		{"UTF-16", "\xff\xfeu\x00l\x00l\x00", []string{`t.csv:1:1: header "`}},
		{"null bytes", "\x00\x00\x00\x00", []string{"t.csv:1:1: header"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tab, err := cargo.ParseTable("t.csv", []byte(tt.text))
			if tab != nil || err == nil {
				t.Fatalf("accepted: %v", tab)
			}
			lines := strings.Split(err.Error(), "\n")
			if len(lines) != len(tt.says) {
				t.Fatalf("%d mistakes told, want %d:\n%v", len(lines), len(tt.says), err)
			}
			for i, want := range tt.says {
				if !strings.Contains(lines[i], want) {
					t.Errorf("line %d: %s\nwant it to say %s", i, lines[i], want)
				}
			}
			var at *cargo.PosError
			if !errors.As(err, &at) || at.File != "t.csv" {
				t.Errorf("no place in %v", err)
			}
		})
	}
}

// The demo's tables are as ships keep them. Its plan says 96,500 m³ at these
// ullages, each read to the centimetre.
func TestParseTableDemo(t *testing.T) {
	total := 0.0
	for tank, ullage := range map[string]float64{"1c": 1.12, "2c": 1.32, "3c": 1.38, "4c": 1.35, "5c": 1.38, "6c": 1.25} {
		name := "tanks/" + tank + ".csv"
		data, err := fs.ReadFile(demo.Files(), name)
		if err != nil {
			t.Fatal(err)
		}
		tab, err := cargo.ParseTable(name, data)
		if err != nil {
			t.Fatal(err)
		}
		v, err := tab.Volume(ullage, 0)
		if err != nil {
			t.Error(err)
		}
		total += v
	}
	if math.Abs(total-96500) > 60 {
		t.Errorf("%.1f m3, want 96500", total)
	}
	data, err := fs.ReadFile(demo.Template(), "tanks/1c.csv")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := cargo.ParseTable("tanks/1c.csv", data); err != nil {
		t.Errorf("template: %v", err)
	}
}

// A wrong file of any length gives a short answer.
func TestParseTableManyMistakes(t *testing.T) {
	text := "ullage_m,trim_0_m\n" + strings.Repeat("x,y\n", 100_000)
	_, err := cargo.ParseTable("t.csv", []byte(text))
	if err == nil {
		t.Fatal("accepted")
	}
	lines := strings.Split(err.Error(), "\n")
	if last := lines[len(lines)-1]; len(lines) != 21 || last != "t.csv: and 199980 more" {
		t.Errorf("%d lines, the last %q", len(lines), last)
	}
}

func ExampleParseTable() {
	_, err := cargo.ParseTable("tanks/1c.csv", []byte("ullage_m,trim_0_m\n0.00,1000\n0.25,1010\n0.50,80O\n"))
	fmt.Println(err)
	// Output:
	// tanks/1c.csv:3:6: volume 1010 m3 under 1000 m3: want less volume at more ullage
	// tanks/1c.csv:4:6: "80O": want a number
}

func FuzzParseTable(f *testing.F) {
	for _, s := range []string{
		goodTable, "", "\ufeff" + goodTable, "ullage_m,trim_0_m\r\n1,2\r\n2,1\r\n", "ullage_m\n\n",
		"ullage_m,trim_NaN_m\nInf,1e400\n", "ullage_m,trim_0_m\n1,\"2\n", "# c\n\xff\xfe\x00", "ullage_m,trim_0_m\n0,1e308\n1e308,0\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		tab, err := cargo.ParseTable("t.csv", data)
		if err != nil {
			if tab != nil {
				t.Fatalf("a table beside %v", err)
			}
			return
		}
		// Ullages are not negative and rise, so one of these lies inside or is told to be outside.
		for _, u := range []float64{0, 0.1, 1, 15} {
			v, err := tab.Volume(u, 0)
			if (err == nil) == (math.IsNaN(v) || math.IsInf(v, 0) || v < 0) {
				t.Fatalf("Volume(%g) = %g, %v", u, v, err)
			}
		}
	})
}

func BenchmarkParseTable(b *testing.B) {
	var text strings.Builder
	text.WriteString("ullage_m,trim_0_m,trim_1_m,trim_2_m,trim_3_m\n")
	for i := range 80 { // as long as the table of one tank is
		u := float64(i) / 4
		fmt.Fprintf(&text, "%.2f,%.1f,%.1f,%.1f,%.1f\n", u, 16000-800*u, 15980-800*u, 15960-800*u, 15940-800*u)
	}
	data := []byte(text.String())
	b.ReportAllocs()
	for b.Loop() {
		if _, err := cargo.ParseTable("1c.csv", data); err != nil {
			b.Fatal(err)
		}
	}
}
