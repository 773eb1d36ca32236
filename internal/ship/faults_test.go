package ship

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"example.org/headwatch/internal/cargo"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// fault is a slip of the pen in a good file: the first occurrence of each old
// text becomes new. In new a ‸ marks each place that must be told, and want
// holds what must be told there, in order. All is our own rule unless a
// standard is named.
type fault struct {
	name  string
	edits [][2]string
	want  []string
}

func slip(name, old, new string, want ...string) fault {
	return fault{name, [][2]string{{old, new}}, want}
}

func (f fault) and(old, new string) fault {
	f.edits = append(f.edits, [2]string{old, new})
	return f
}

// mark strips the marks and returns the places they stood at.
func mark(text string) (plain string, places []string) {
	parts := strings.Split(text, "‸")
	for i, part := range parts {
		if plain += part; i < len(parts)-1 {
			line := plain[strings.LastIndexByte(plain, '\n')+1:]
			places = append(places, fmt.Sprintf("%d:%d", strings.Count(plain, "\n")+1, utf8.RuneCountInString(line)+1))
		}
	}
	return plain, places
}

func (f fault) check(t *testing.T, file, good string, load func(data []byte) error) {
	t.Helper()
	text := good
	for _, e := range f.edits {
		if !strings.Contains(text, e[0]) {
			t.Fatalf("the good file holds no %q", e[0])
		}
		text = strings.Replace(text, e[0], e[1], 1)
	}
	text, places := mark(text)
	if len(places) != len(f.want) {
		t.Fatalf("%d marks for %d messages", len(places), len(f.want))
	}
	var want []string
	for i, place := range places {
		want = append(want, file+":"+place+": "+f.want[i])
	}
	got := "no error"
	if err := load([]byte(text)); err != nil {
		got = err.Error()
	}
	if got != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
}

func example(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// tables is a folder with the tank tables of the example and two bad ones.
func tables(t testing.TB) fstest.MapFS {
	folder := fstest.MapFS{
		"tanks/rising.csv": {Data: []byte("ullage_m,trim_0_m\n0,100\n1,100\n2,x\n")},
		"tanks/big.csv":    {Data: bytes.Repeat([]byte("1,1\n"), 1<<19)},
	}
	for _, name := range []string{"1c", "2c", "3c", "4c", "5c", "6c"} {
		folder["tanks/"+name+".csv"] = &fstest.MapFile{Data: []byte(example(t, "tanks/"+name+".csv"))}
	}
	return folder
}

var shipFaults = []fault{
	// Scalars and their units.
	slip("no unit", "length: 233 m ", "length: ‸233 ", `length "233": unit missing, want one of m, mm, cm, km, ft, in`),
	slip("unit of another kind", "length: 233 m ", "length: ‸233 bar ", `length "233 bar": "bar" is a unit of pressure, want one of m, mm, cm, km, ft, in`),
	slip("unknown unit", "pressure: bar ", "pressure: ‸bat ", `pressure: unknown unit "bat", nearest: bar`),
	slip("unit of a curve", "head: m ", "head: ‸bar ", `head: length: "bar" is a unit of pressure, want one of m, mm, cm, km, ft, in`),
	slip("decimal comma", "length: 233 m ", "length: ‸233,5 m ", `length "233,5 m": decimal comma, want a dot`),
	slip("not a number", "length: 233 m ", "length: ‸NaN m ", `length "NaN m": want a number`),
	slip("too large", "length: 233 m ", "length: ‸1e400 m ", `length "1e400 m": too large to compute with`),
	slip("negative", "length: 233 m ", "length: ‸-233 m ", `length "-233 m": want 20..500 m`),
	slip("m for mm", "bore: 500 mm", "bore: ‸500 m", `bore "500 m": want 50..1500 mm`),
	slip("density", `density: "998 kg/m3"`, `density: ‸"99.8 kg/m3"`, `density "99.8 kg/m3": want 400..1200 kg/m3`),
	slip("no value", "length: 233 m ", "length:‸ ", `length: nothing stands here; want a figure with its unit, or leave the key out if it is optional`),
	slip("a list for a figure", "length: 233 m ", "length: ‸[233 m] ", `length: want a figure with its unit, found a list`),
	slip("a text for a list", "pumps:\n", "pumps: ‸none\n‸x:\n", `pumps: want a list, found "none"`,
		`ship file: unknown key "x", want one of format, ship, units, curves, pumps, manifolds, bring-on-line, tanks, pump-room`),
	slip("a figure for keys", "pump-room: {along: 28 m}", "pump-room: ‸28 m", `pump-room: want keys with values, found "28 m"`),
	slip("terminal codes in a name", "name: MT Skerry Venture", `name: ‸"MT\e[31m"`, `name "MT�[31m": holds what cannot be printed; want letters, digits, signs and spaces`),
	slip("long name", "name: MT Skerry Venture", "name: ‸"+strings.Repeat("x", 61), `name "`+strings.Repeat("x", 60)+`…": 61 characters long; want 1..60`),
	slip("very long value", "name: MT Skerry Venture", "name: ‸"+strings.Repeat("x", 201), `name "`+strings.Repeat("x", 60)+`…": 201 characters long; want a text`),
	slip("flag", "fictional: true", "fictional: ‸yes", `fictional "yes": want one of true, false`),
	slip("flow loss", "riser: 4.5 m at 2500 m3/h", "riser: ‸4.5 m", `riser: loss "4.5 m": want a head and a flow, as in "4.5 m at 2500 m3/h"`),
	slip("arms", "arms: 3", "arms: ‸3.5", `arms "3.5": want a whole number, 1..20`),
	slip("no arms", "arms: 3", "arms: ‸0", `arms "0": want a whole number, 1..20`),

	// Keys.
	slip("misspelt optional key", "length: 233 m ", "‸lenght: 233 m ", `ship: unknown key "lenght", did you mean length?`),
	slip("misspelt wanted key is one fault", "class: 1.6", "‸clas: 1.6", `suction: unknown key "clas", did you mean class?`),
	slip("misspelt section", "pumps:\n", "‸pumsp:\n", `ship file: unknown key "pumsp", did you mean pumps?`),
	slip("missing key", "suction:   {height: 2.4 m, ", "suction:   ‸{", `suction: key "height" is missing`),
	slip("missing key of a block", "- name: COP 1\n", "- ‸name: COP 1\n    # ", `pump: key "curves" is missing`),
	slip("key twice", "class: 1.6}", "class: 1.6, ‸class: 2.5}", `suction: key "class" stands here a second time, the first is in line 46`),
	slip("format of another file", "format: ship/1", "format: ‸plan/1", `format "plan/1": want ship/1`),
	slip("format to come", "format: ship/1", "format: ‸ship/2", `format "ship/2": want ship/1`),

	// Gauges.
	slip("class", "class: 1.6", "class: ‸1.5", `class "1.5": want an EN 837-1 class, one of 0.1 0.25 0.6 1 1.6 2.5 4`), // EN 837-1:1996, Table 11
	slip("class is no number", "class: 1.6", "class: ‸good", `class: number "good": want a number`),
	slip("span reversed", "span: -1..5 bar", "span: ‸5..-1 bar", `span: range of pressure "5..-1 bar": want the lower end first`),
	slip("span without dots", "span: -1..5 bar", "span: ‸5 bar", `span: range of pressure "5 bar": want two ends and a unit, as in "-1..5 bar"`),
	slip("more than vacuum", "span: -1..5 bar", "span: ‸-1..5 MPa", `span "-1..5 MPa": want a scale within -1.1..100 bar`),
	slip("absolute below zero", "span: -1..5 bar,", "reads: absolute, span: ‸-1..5 bar,", `span "-1..5 bar": want 0 or more; a gauge that reads absolute shows nothing below`),
	slip("reads", "class: 1.6}", "class: 1.6, reads: ‸absolut}", `reads "absolut": did you mean absolute?`),
	slip("zero", "class: 1.6}", "class: 1.6, zero: ‸20 bar}", `zero "20 bar": want -2..2 bar`),
	slip("gauge unit", "class: 1.6}", "class: 1.6, unit: ‸m3/h}", `unit: pressure: "m3/h" is a unit of flow, want one of bar, kgf/cm2, kPa, MPa, psi, mbar, Pa, mmWG, mWG, inWG, ftWG, mmHg, cmHg, inHg, atm`),

	// Curves.
	slip("law", "law: interpolate ", "law: ‸interpolat ", `law "interpolat": did you mean interpolate?`),
	slip("affinity of three speeds", "law: interpolate ", "law: affinity ", `speed "1110 rpm": law affinity scales one printed speed; with several use law interpolate`).
		and("speed: 1110 rpm", "speed: ‸1110 rpm"),
	slip("grade", `grade: "2B"`, `grade: ‸"2C"`, `grade "2C": did you mean 2B or 2U?`),
	slip("head and pressure", "    tested-with:", "    ‸pressure: bar\n    is: total\n    tested-with:", `cop: want either head or pressure, the unit of the points`),
	slip("efficiency and power", `efficiency: "%" `, "efficiency: \"%\"\n    power: ‸kW ", `power "kW": want either efficiency or power, not both`),
	slip("no number in a list", "[37.5, 37.5,", "[37.5, ‸x,", `h: number "x": want a number`),
	slip("decimal comma in a list", "[0, 21.9,", "‸[0, 21,9,", `efficiency: 14 values for 13 flows`),
	slip("list too short", "[37.5, 37.5,", "‸[37.5,", `h: 12 values for 13 flows`),
	slip("empty list", "[1.05, 1.06, 1.08, 1.12, 1.17, 1.24, 1.34, 1.47, 1.6, 1.76, 1.95, 2.17, 2.39]", "‸[]", `npshr: the list is empty; want at least one npshr`),
	slip("negative flow", "[0, 120, 250,", "[0, ‸-120, 250,", `q "-120": want 0..30000 m3/h`),
	slip("equal flows", "[0, 120, 250,", "[0, 120, ‸120,", `q "120": not above the flow before it; flows must rise from point to point`),
	slip("no shut-off head", "[0, 120, 250,", "[‸10, 120, 250,", `q "10": the first point must be at flow 0: read the shut-off head off the curve`),
	slip("head rises", "37.3, 37,", "37.3, ‸37.4,", `h "37.4": head rises again after falling; beyond its peak a head curve only falls`),
	slip("curves cross", "[84.4,", "[‸34.4,", `h "34.4": the curve of 1110 rpm is not above that of 740 rpm near 0 m3/h; the curves of two speeds must not cross`),
	slip("efficiency", "[0, 21.9,", "[0, ‸121.9,", `efficiency "121.9": want 0..100 %`),
	slip("speed twice", "speed: 1110 rpm\n", "speed: ‸740 rpm\n", `speed "740 rpm": a second curve for 740 rpm`),
	slip("negative speed", "speed: 1110 rpm\n", "speed: ‸-1110 rpm\n", `speed "-1110 rpm": want 50..6000 rpm`),
	slip("list without a unit", "    npshr: m ", "    # ", `npshr: no unit is named for it; add npshr beside flow`).
		and("[1.05", "‸[1.05").and("        npshr:      [1.99", "        # ").and("        npshr:      [3.3,", "        # "),
	slip("heads taken for pressures", "head: m ", "is: total\n    pressure: MPa ", `p "37.5": want 0.01..100 bar; so for 12 more figures of this list`,
		`p "84.4": want 0.01..100 bar; so for 12 more figures of this list`, `p "150": want 0.01..100 bar; so for 12 more figures of this list`).
		and("        h:          [", "        p:          [‸").and("        h:          [", "        p:          [‸").and("        h:          [", "        p:          [‸"),
	slip("pressure of no kind", "head: m ", "pressure: ‸kPa ", `pressure "kPa": want "is: total" beside it; only the rise from suction to discharge gives a head`).
		and("        h: ", "        p: ").and("        h: ", "        p: ").and("        h: ", "        p: "),
	slip("pressure of another kind", "head: m ", "is: ‸discharge\n    pressure: kPa ", `is "discharge": want total`).
		and("        h: ", "        p: ").and("        h: ", "        p: ").and("        h: ", "        p: "),
	// 998 kg/m3, 9.80665 m/s2, 120 m3/h and 37.5 m are 12.2 kW in the liquid.
	slip("power less than in the liquid", `efficiency: "%"`, `power: kW`, `power "12": less than the power in the liquid; check the units and the test density`).
		and("efficiency: [0, 21.9, 36.1, 48.2", "power: [50, ‸12, 100, 100").and("efficiency: [0,", "power: [200,").and("efficiency: [0,", "power: [400,").
		and("57.6, 65.3, 71.8, 76.4, 79.2, 80.7, 81, 80.2, 78.2]", "200, 200, 200, 200, 200, 200, 200, 200, 200]").
		and("22.7, 36.4, 47.7, 57.6, 65.7, 71.6, 76.2, 79.2, 80.7, 81, 80.3, 78.2]", "300, 400, 500, 500, 500, 600, 600, 600, 600, 600, 600, 600]").
		and("22.5, 36.1, 47.8, 57.6, 65.6, 71.8, 76.3, 79.2, 80.7, 81, 80.3, 78.2]", "600, 900, 900, 900, 900, 1200, 1200, 1200, 1200, 1200, 1200, 1200]"),
	slip("pressure without density", "head: m ", "is: total\n    pressure: ‸kPa ", `pressure "kPa": needs the density of the test liquid; add it to tested-with`).
		and(`density: "998 kg/m3", `, "").and("        h: ", "        p: ").and("        h: ", "        p: ").and("        h: ", "        p: "),

	// Pumps, manifolds, tanks.
	slip("min over max", "speed:  {min: 740 rpm, max: 1480 rpm}", "speed:  {min: 1480 rpm, max: ‸1480 rpm}", `max "1480 rpm": want more than min`),
	slip("unknown curves", "curves: cop\n", "curves: ‸cpo\n", `curves "cpo": no such name, want cop`),
	slip("one name twice", "name: COP 2", "name: ‸cop1", `name "cop1": stands in line 41 already; want a different name (case and spaces do not count)`).
		and("pump: COP 2", "pump: COP 1").and("pump: COP 2", "pump: COP 1"),
	slip("unknown pump", "pump: COP 3", "pump: ‸COP 9", `pump "COP 9": no such name, did you mean COP 1 or COP 2 or COP 3?`),
	slip("drive", "kind: steam turbine", "kind: ‸steam engine", `kind "steam engine": want one of steam turbine, electric motor, diesel engine, hydraulic motor`),
	slip("table outside", "tanks/1c.csv", "‸../1c.csv", `table "../1c.csv": want a file in the folder of the ship file, as in tanks/1c.csv`),
	slip("table at the root", "tanks/1c.csv", "‸/tanks/1c.csv", `table "/tanks/1c.csv": want a file in the folder of the ship file, as in tanks/1c.csv`),
	slip("table with backslash", "tanks/1c.csv", `‸tanks\1c.csv`, `table "tanks\\1c.csv": want a file in the folder of the ship file, as in tanks/1c.csv`),
	slip("table not there", "tanks/1c.csv", "‸tanks/9c.csv", `table "tanks/9c.csv": cannot be read: file does not exist`),
	slip("table too large", "tanks/1c.csv", "‸tanks/big.csv", `table "tanks/big.csv": larger than 1048576 bytes, too large to be right`),

	// What YAML can do and a ship file must not.
	slip("anchor", "  suction:   {height", "  suction:   ‸&a {height", `anchor "&a": anchors are not read; write the values out`),
	slip("alias", "centre: 2.6 m", "centre: ‸*a", `alias "*a": aliases are not read; write the values out, or put the text in quotes`),
	slip("merge key", "centre: 2.6 m", "‸<<: 2.6 m", `merge key "<<": merge keys are not read; write the values out`),
	slip("tag", "centre: 2.6 m", "centre: ‸!!str 2.6 m", `tag "!!str": tags are not read; put text in quotes instead`),
	slip("list as a key", "    centre: 2.6 m", "    ? ‸[a]\n    : 2.6 m", `a key must be a word, found a list`),
	slip("tab", "    law:", "  ‸\tlaw:", `a tab in the indentation (lines with one: 1); indent with spaces`),
}

func TestShipFaults(t *testing.T) {
	folder := tables(t)
	for _, f := range shipFaults {
		t.Run(f.name, func(t *testing.T) {
			f.check(t, "ship.yaml", example(t, "ship.yaml"), func(data []byte) error {
				_, err := LoadShip("ship.yaml", data, folder)
				return err
			})
		})
	}
}

var planFaults = []fault{
	slip("offset", `"+01:00"`, `‸"1h"`, `time-zone "1h": want an offset from UTC between -12:00 and +14:00, as in "+01:00"`),
	slip("no such offset", `"+01:00"`, `‸"+19:00"`, `time-zone "+19:00": want an offset from UTC between -12:00 and +14:00, as in "+01:00"`),
	slip("no parcels", "parcels:    ", "parcels: ‸[]\n‸x:  ", `parcels: the list is empty; want at least one parcel`,
		`plan file: unknown key "x", want one of format, fictional, voyage, port, berth, time-zone, parcels, readings-every, pumping-clause`),
	slip("missing limit", "      manifold: 8.5 bar\n      rate:", "      ‸rate:", `limits: key "manifold" is missing`),
	slip("missing limits", "    limits:\n      manifold: 8.5 bar\n      rate: 7200 m3/h\n      first-rate: 1000 m3/h\n", "", `parcel: key "limits" is missing`).
		and("- name: A", "- ‸name: A"),
	slip("limit without unit", "manifold: 8.5 bar", "manifold: ‸8.5", `manifold: pressure "8.5": unit missing, want one of bar, kgf/cm2, kPa, MPa, psi, mbar, Pa, mmWG, mWG, inWG, ftWG, mmHg, cmHg, inHg, atm`),
	slip("psi for bar", "manifold: 8.5 bar", "manifold: ‸850 bar", `manifold "850 bar": want 0.5..40 bar`),
	slip("first rate over rate", "first-rate: 1000 m3/h", "first-rate: ‸8000 m3/h", `first-rate "8000 m3/h": want no more than rate`),
	slip("remainder over quantity", "stripping-remainder: 700 m3", "stripping-remainder: ‸97000 m3", `stripping-remainder "97000 m3": want less than the quantity`),
	slip("density without group", "{at-15: 871.0 kg/m3, group: crude}", "‸{at-15: 871.0 kg/m3}", `density: want the group that at-15 belongs to: crude, products or lubes`),
	slip("two densities", "at-15: 871.0 kg/m3", "at-15: 871.0 kg/m3, observed: 858 kg/m3", `density: want either at-15 with its group, or observed`).and("density: {", "density: ‸{"),
	slip("no density", "{at-15: 871.0 kg/m3, group: crude}", "‸{group: crude}", `density: want either at-15 with its group, or observed`),
	slip("group", "group: crude", "group: ‸crud", `group "crud": did you mean crude?`),
	slip("too light for its group", "{at-15: 871.0 kg/m3, group: crude}", "{at-15: ‸650 kg/m3, group: products}", // ASTM D1250-80, table 54B
		`at-15 "650 kg/m3": `+outside(cargo.Products, 650, 34+273.15)),
	slip("too hot for its density", "temperature: 34 degC", "temperature: 160 degC", // as above, from memory
		`at-15 "871.0 kg/m3": `+outside(cargo.Crude, 871, 160+273.15)).and("at-15: 871", "at-15: ‸871"),
	slip("vapour pressures", "{rvp: 42 kPa}", "‸{rvp: 42 kPa, true: 55 kPa}", `vapour-pressure: want either rvp or true`),
	slip("no vapour pressure", "{rvp: 42 kPa}", "‸{}", `vapour-pressure: want either rvp or true`),
	slip("unknown pump", "COP 1, COP 2, COP 3", "COP 1, ‸COPP 2, COP 3", `pump "COPP 2": no such name, did you mean COP 2?`),
	slip("list for a pump", "COP 1, COP 2, COP 3", "COP 1, ‸[COP 2], COP 3", `pump: want a text, found a list`),
	slip("unknown manifold", "[M2]", "[‸M3]", `manifold "M3": no such name, did you mean M2?`),
	slip("unknown tank", "[1C, 2C,", "[1C, ‸7P,", `tank "7P": no such name, want one of 1C, 2C, 3C, 4C, 5C, 6C`),
	slip("pump twice", "COP 1, COP 2, COP 3", "COP 1, COP 2, ‸cop 1", `pump "cop 1": belongs to parcel A already`),
	slip("parcel twice", "readings-every:", strings.Replace(secondParcel, "name: B", "name: ‸a", 1)+"readings-every:",
		`name "a": stands in line 9 already; want a different name (case and spaces do not count)`).
		and("COP 2, COP 3", "COP 2").and("5C, 6C]", "5C]"),
	slip("pump and tank in two parcels", "readings-every:", strings.NewReplacer("[COP 3]", "[‸COP 3]", "[6C]", "[‸6C]").Replace(secondParcel)+"readings-every:",
		`pump "COP 3": belongs to parcel A already`, `tank "6C": belongs to parcel A already`),
	slip("basis", "m3 at 15}", "‸m3 at 20}", `shore "m3 at 20": did you mean m3 at 15?`).and("shore: ‸m3", "shore: ‸m3"),
	slip("clause", "first-line: lines-excluded ", "first-line: ‸line-excluded ", `first-line "line-excluded": did you mean lines-excluded?`),
	slip("short interval", "readings-every: 60 min", "readings-every: ‸60 s s", `readings-every: time span "60 s s": unknown unit "s s", want one of s, min, h`),
}

// outside is what package cargo says of a density outside its tables.
func outside(g cargo.Group, density15, temperature float64) string {
	_, err := cargo.DensityAt(g, density15, temperature)
	return fmt.Sprint(err)
}

const secondParcel = `  - name: B
    grade: Second
    density: {observed: 858 kg/m3}
    temperature: 30 degC
    pumps: [COP 3]
    manifolds: [M2]
    tanks: [6C]
    quantity: 10000 m3
    stripping-remainder: 100 m3
    limits: {manifold: 7 bar, rate: 2000 t/h, first-rate: 500 m3/h}
    shore: {static: 20 m, loss: 30 m at 3000 m3/h, level-rise: 0.2 m/h, time-to-stop: 5 min, booster: {adds: 30 m}}
    ullage-pressure: 0.1 bar
    basis: {shore: t in air}
`

func TestPlanFaults(t *testing.T) {
	ship, err := LoadShip("ship.yaml", []byte(example(t, "ship.yaml")), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range planFaults {
		t.Run(f.name, func(t *testing.T) {
			f.check(t, "plan.yaml", example(t, "plan.yaml"), func(data []byte) error {
				_, err := LoadPlan("plan.yaml", data, ship)
				return err
			})
		})
	}
}
