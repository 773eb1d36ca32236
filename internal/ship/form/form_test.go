package form_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/headwatch/internal/ship/form"
	"example.org/headwatch/internal/units"
)

// tank is a format of the tests' own that asks for one of each.
type tank struct {
	Name, Kind, Unit, Pump    string
	Slop                      bool
	Depth, Half, Rate, Loss   float64
	Class, Low, High          float64
	Arms                      int
	Scale                     units.Range
	Levels                    []float64
	Valves                    []string
	Others                    map[string]float64
	OptionalText, OptionalKey string
	Absent                    [6]float64
}

var (
	depths   = form.Between(units.Length, 1, 30, "m")
	flows    = form.Between(units.Flow, 1, 5000, "m3/h")
	gauges   = form.Between(units.Pressure, -1.1, 20, "bar")
	pumps    = []string{"COP 1", "COP 2"}
	goodTank = `format: tank/1
name: 1 Centre
kind: slop
slop: true
depth: 20.5 m
rate: 858 t/h
loss: 4.5 m at 3600 m3/h
class: 1.6
arms: 3
scale: -1..5 bar
unit: kg/cm2
pump: cop1
range: {low: 2 m, high: 3 m}
levels: [1, 2.5, 10]
valves: [A, B]
others:
  left: 4 m
  right: 5 m
`
)

func readTank(data string) (tank, error) {
	var k tank
	err := form.Read("tank.yaml", "tank/1", []byte(data), func(m *form.Mapping) {
		k.Name = m.Must("name").Text()
		k.Kind = m.Must("kind").Choice("cargo", "slop")
		k.Slop = m.Opt("slop").Flag()
		depth := m.Must("depth")
		k.Depth, k.Half = depth.Quantity(depths), depth.Half(units.Length)
		k.Rate = m.Must("rate").Flow(flows, 858)
		k.Loss = m.Must("loss").Loss()
		k.Class = m.Must("class").Number()
		k.Arms = m.Opt("arms").Count(9)
		k.Scale = m.Must("scale").Span(gauges)
		k.Unit = m.Must("unit").Unit(units.Pressure)
		k.Pump = m.Opt("pump").OneOf(pumps)
		m.Must("range").Mapping(func(m *form.Mapping) { k.Low, k.High = m.Rising("low", "high", depths) })
		k.Levels = m.Must("levels").Column(depths, "m")
		seen := form.Names{}
		for _, v := range m.Must("valves").List("valve") {
			k.Valves = append(k.Valves, seen.Take(v))
		}
		m.Must("others").Mapping(func(m *form.Mapping) {
			k.Others = map[string]float64{}
			for _, v := range m.All() {
				k.Others[v.Name()] = v.Quantity(depths)
			}
		})
		no := m.Opt("nothing") // is not in the good file
		k.OptionalText, k.OptionalKey = no.Text()+no.Choice("a")+no.Unit(units.Flow)+no.OneOf(pumps), no.Name()
		span := no.Span(gauges)
		k.Absent = [6]float64{no.Quantity(depths), no.Number(), no.Loss(), no.Half(units.Flow), no.Flow(flows, 1), span.Lo}
		no.Mapping(func(m *form.Mapping) { k.OptionalText += m.Must("more").Text() })
		if no.Given() || no.Count(3) != 0 || no.Flag() || no.List("x") != nil || no.Column(depths, "m") != nil || no.Item(0).Given() {
			k.OptionalText = "something from nothing"
		}
	})
	return k, err
}

func TestRead(t *testing.T) {
	for _, data := range []string{goodTank, "\ufeff" + strings.ReplaceAll(goodTank, "\n", "\r\n"), "---\n" + goodTank + "...\n"} {
		k, err := readTank(data)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range k.Absent {
			if !math.IsNaN(x) {
				t.Errorf("%v from an absent value, want NaN", k.Absent)
			}
		}
		k.Absent = [6]float64{}
		want := tank{
			Name: "1 Centre", Kind: "slop", Slop: true, Depth: 20.5, Half: 0.05, Class: 1.6, Arms: 3, Low: 2, High: 3,
			Rate: 858.0 * 1000 / 3600 / 858, Loss: 4.5, // 3600 m3/h is 1 m3/s
			Scale: units.Range{Lo: -1e5, Hi: 5e5, Unit: "bar"}, Unit: "kgf/cm2", Pump: "COP 1",
			Levels: []float64{1, 2.5, 10}, Valves: []string{"A", "B"}, Others: map[string]float64{"left": 4, "right": 5},
		}
		if math.Abs(k.Rate-want.Rate) > 1e-15 {
			t.Errorf("rate: got %v, want %v", k.Rate, want.Rate)
		}
		k.Rate = want.Rate
		if !reflect.DeepEqual(k, want) {
			t.Errorf("got  %+v\nwant %+v", k, want)
		}
	}
}

// One line of the good file replaced: what is told of it. All own rules.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"name: 1 Centre", "nmae: 1 Centre", `2:1: tank file: unknown key "nmae", did you mean name?`},
		{"name: 1 Centre", "", `1:1: tank file: key "name" is missing`},
		{"name: 1 Centre", "name:", `2:6: name: nothing stands here; want a text, or leave the key out if it is optional`},
		{"name: 1 Centre", "name: \"\"", `2:7: name: nothing stands here; want a text, or leave the key out if it is optional`},
		{"name: 1 Centre", "name: \" \"", `2:7: name " ": 0 characters long; want 1..60`},
		{"name: 1 Centre", `name: "a\nb"`, `2:7: name "a�b": holds what cannot be printed; want letters, digits, signs and spaces`},
		{"name: 1 Centre", "name: [1 Centre]", `2:7: name: want a text, found a list`},
		{"name: 1 Centre", "name: {a: 1}", `2:7: name: want a text, found keys with values`},
		{"slop: true", "name: 2 Centre", `4:1: tank file: key "name" stands here a second time, the first is in line 2`},
		{"slop: true", "slop: True", `4:7: slop "True": did you mean true?`},
		{"slop: true", "zzz: 1", `4:1: tank file: unknown key "zzz", want one of format, name, kind, slop, depth, rate, loss, class, arms, scale, unit, pump, range, levels, valves, others, nothing`},
		{"slop: true", `"a\eb": 1`, `4:1: tank file: unknown key "a�b", want one of format, name, kind, slop, depth, rate, loss, class, arms, scale, unit, pump, range, levels, valves, others, nothing`},
		{"kind: slop", "kind: slopp", `3:7: kind "slopp": did you mean slop?`},
		{"kind: slop", "kind: ballast", `3:7: kind "ballast": want one of cargo, slop`},
		{"depth: 20.5 m", "depth: 31 m", `5:8: depth "31 m": want 1..30 m`},
		{"depth: 20.5 m", "depth: 101 ft", `5:8: depth "101 ft": want 1..30 m`},
		{"depth: 20.5 m", "depth: 20.5", `5:8: depth: length "20.5": unit missing, want one of m, mm, cm, km, ft, in`},
		{"depth: 20.5 m", "depth: " + strings.Repeat("1", 300), `5:8: depth "` + strings.Repeat("1", 60) + `…": 300 characters long; want a figure with its unit`},
		{"rate: 858 t/h", "rate: 0 t/h", `6:7: rate "0 t/h": want 1..5000 m3/h`},
		{"class: 1.6", "class: 1.6 %", `8:8: class: number "1.6 %": "%" after the number, want nothing there`},
		{"class: 1.6", "class: .inf", `8:8: class: number ".inf": want a number`},
		{"arms: 3", "arms: 10", `9:7: arms "10": want a whole number, 1..9`},
		{"arms: 3", "arms: 2.5", `9:7: arms "2.5": want a whole number, 1..9`},
		{"scale: -1..5 bar", "scale: -1..25 bar", `10:8: scale "-1..25 bar": want a scale within -1.1..20 bar`},
		{"unit: kg/cm2", "unit: [bar]", `11:7: unit: want a unit, one of bar, kgf/cm2, kPa, MPa, psi, mbar, Pa, mmWG, mWG, inWG, ftWG, mmHg, cmHg, inHg, atm, found a list`},
		{"pump: cop1", "pump: COP 3", `12:7: pump "COP 3": no such name, did you mean COP 1 or COP 2?`},
		{"range: {low: 2 m, high: 3 m}", "range: {low: 3 m, high: 3 m}", `13:25: high "3 m": want more than low`},
		{"range: {low: 2 m, high: 3 m}", "range: {low: 3 m}", `13:8: range: key "high" is missing`},
		{"levels: [1, 2.5, 10]", "levels: [1, x, 10]", `14:13: levels: number "x": want a number`},
		{"levels: [1, 2.5, 10]", "levels: [1, 2.5, 100]", `14:18: levels "100": want 1..30 m`},
		{"levels: [1, 2.5, 10]", "levels: [100, 250, 1e308]", `14:10: levels "100": want 1..30 m; so for 2 more figures of this list`},
		{"levels: [1, 2.5, 10]", "levels: [1, [2.5], 10]", `14:13: levels: want a number, found a list`},
		{"valves: [A, B]", "valves: [A, ' a']", `15:13: valve " a": stands in line 15 already; want a different name (case and spaces do not count)`},
		{"valves: [A, B]", "valves: []", `15:9: valves: the list is empty; want at least one valve`},
		{"valves: [A, B]", "valves: A", `15:9: valves: want a list, found "A"`},
		{"others:\n  left: 4 m\n  right: 5 m", "others: {}", `16:9: others: empty; want at least one name with its values`},
		{"format: tank/1", "format: ship/1", `1:9: format "ship/1": want tank/1`},
		{"format: tank/1\n", "", `1:1: tank file: key "format" is missing`},
	} {
		_, err := readTank(strings.Replace(goodTank, c.old, c.new, 1))
		if got := fmt.Sprint(err); got != "tank.yaml:"+c.want {
			t.Errorf("%s:\ngot  %s\nwant tank.yaml:%s", c.new, got, c.want)
		}
	}
}

// What two faults do to one another.
func TestOneFaultEach(t *testing.T) {
	// A wanted key misspelt and the same key missing are one fault; a slip
	// without one clear meaning is two.
	_, err := readTank(strings.NewReplacer("low:", "lo:", "high:", "hi:").Replace(goodTank))
	want := "tank.yaml:13:9: range: unknown key \"lo\", did you mean low?\ntank.yaml:13:18: range: unknown key \"hi\", did you mean high?"
	if fmt.Sprint(err) != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if n := len(form.Each(err)); n != 2 {
		t.Errorf("%d errors, want 2", n)
	}
}

func TestPlausible(t *testing.T) {
	for _, x := range []float64{1, 30, 15, 30 / 0.3048 * 0.3048} {
		if !depths.Holds(x) {
			t.Errorf("%v does not hold %v m", depths, x)
		}
	}
	for _, x := range []float64{0.999, 30.001, -1, math.NaN(), math.Inf(1)} {
		if depths.Holds(x) {
			t.Errorf("%v holds %v m", depths, x)
		}
	}
	if depths.String() != "1..30 m" || depths.Dimension() != units.Length {
		t.Errorf("got %v of %v", depths, depths.Dimension())
	}
	for _, bad := range []func(){
		func() { form.Between(units.Length, 1, 2, "bar") },
		func() { form.Between(units.Length, 2, 2, "m") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Error("an impossible range was taken")
				}
			}()
			bad()
		}()
	}
}

func TestReadFile(t *testing.T) {
	folder := fstest.MapFS{
		"most": {Data: make([]byte, 1<<20)},
		"more": {Data: make([]byte, 1<<20+1)},
		"dir":  {Mode: fs.ModeDir},
	}
	if data, err := form.ReadFile(folder, "most"); err != nil || len(data) != 1<<20 {
		t.Errorf("%d bytes, %v", len(data), err)
	}
	if data, err := form.ReadFile(folder, "more"); err == nil || data != nil {
		t.Errorf("%d bytes of a file that is too large, %v", len(data), err)
	}
	if _, err := form.ReadFile(folder, "none"); !errors.Is(err, fs.ErrNotExist) || err.Error() != "cannot be read: file does not exist" {
		t.Error(err)
	}
	if _, err := form.ReadFile(folder, "dir"); err == nil {
		t.Error("a folder was read as a file")
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{goodTank, "", "\ufeff", "a: *b", "a: &a [*a]", "- - - -", "{[", "? : ?", "a: !!binary x", "%YAML 9.9\n---\n", "#\n-\n{", "a:\n #\n- #\n", "0: [:!00 \xef"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, err := readTank(s)
		if err == nil && (k.Name == "" || !(k.Low < k.High) || len(k.Levels) == 0) {
			t.Fatalf("taken without an error: %+v", k)
		}
		for _, e := range form.Each(err) {
			if at, ok := e.(*form.PosError); err != nil && (!ok || at.File != "tank.yaml" || at.Line < 0) {
				t.Fatalf("%q has no place", e)
			}
		}
	})
}

func ExampleRead() {
	depths := form.Between(units.Length, 1, 30, "m")
	data := []byte("format: tank/1\nname: 1 Centre\ndpeth: 20 m\nfull: 98\n")
	err := form.Read("tank.yaml", "tank/1", data, func(m *form.Mapping) {
		m.Must("name").Text()
		m.Must("depth").Quantity(depths)
		m.Opt("full").Quantity(form.Between(units.Ratio, 0, 100, "%"))
	})
	fmt.Println(err)
	// Output:
	// tank.yaml:3:1: tank file: unknown key "dpeth", did you mean depth?
	// tank.yaml:4:7: full: ratio "98": unit missing, want one of %, 1
}
