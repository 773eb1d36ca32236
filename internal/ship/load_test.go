package ship

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"example.org/headwatch/internal/ship/form"
)

// golden compares with a file that people read in review.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got\n%s\nwant, by %s,\n%s", got, name, want)
	}
}

// Two files with a fault in most lines: each is told, in the order of the
// file, and nothing else is.
func TestManyFaults(t *testing.T) {
	folder := fstest.MapFS{
		"ship.yaml":   {Data: []byte(example(t, "faulty/ship.yaml"))},
		"plan.yaml":   {Data: []byte(example(t, "faulty/plan.yaml"))},
		"tanks/1.csv": {Data: []byte("ullage_m,trim_0_m\n0.00,100\n0.25,x\n0.50,120\n")},
	}
	_, err := Load(folder)
	if err == nil {
		t.Fatal("no error")
	}
	golden(t, "faulty/told.golden", err.Error()+"\n")
	line := 0
	for _, e := range err.(interface{ Unwrap() []error }).Unwrap() {
		var at *PosError
		if !errors.As(e, &at) {
			t.Fatalf("%v is no PosError", e)
		}
		if at.File == "ship.yaml" && at.Line < line {
			t.Errorf("%v is told after line %d", at, line)
		}
		line = at.Line
	}
}

func TestLoadFaults(t *testing.T) {
	good := func() fstest.MapFS {
		folder := tables(t)
		folder["ship.yaml"] = &fstest.MapFile{Data: []byte(example(t, "ship.yaml"))}
		folder["plan.yaml"] = &fstest.MapFile{Data: []byte(example(t, "plan.yaml"))}
		return folder
	}
	if _, err := Load(good()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, want string
		spoil      func(fstest.MapFS)
		is         error
	}{
		{"no plan", "plan.yaml: cannot be read: file does not exist", func(f fstest.MapFS) { delete(f, "plan.yaml") }, fs.ErrNotExist},
		{"nothing", "ship.yaml: cannot be read: file does not exist\nplan.yaml: cannot be read: file does not exist", func(f fstest.MapFS) { clear(f) }, fs.ErrNotExist},
		{"a folder", "plan.yaml: cannot be read: invalid argument", func(f fstest.MapFS) { f["plan.yaml"] = &fstest.MapFile{Mode: fs.ModeDir} }, nil},
		{"huge", "plan.yaml: larger than 1048576 bytes, too large to be right", func(f fstest.MapFS) { f["plan.yaml"].Data = make([]byte, 1<<20+1) }, nil},
		{"both faulty", "ship.yaml:1:1: the file is empty\nplan.yaml:1:1: the file is empty", func(f fstest.MapFS) { f["ship.yaml"].Data, f["plan.yaml"].Data = nil, nil }, nil},
		{"bad table", "tanks/3c.csv:3:1: ", func(f fstest.MapFS) { f["tanks/3c.csv"].Data = []byte("ullage_m,trim_0_m\n1,2\nx,1\n") }, nil},
		{"table of another ship", "ship.yaml:89:23: table \"tanks/3c.csv\": cannot be read: file does not exist", func(f fstest.MapFS) { delete(f, "tanks/3c.csv") }, fs.ErrNotExist},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := good()
			c.spoil(folder)
			d, err := Load(folder)
			if d != nil || err == nil || !strings.HasPrefix(err.Error(), c.want) || c.is != nil && !errors.Is(err, c.is) {
				t.Errorf("got %v, %v\nwant %s", d, err, c.want)
			}
		})
	}
}

// Whatever is read, there is no panic, and there is either a ship without a
// fault or faults without a ship, each with its place.
func FuzzLoadShip(f *testing.F) {
	for _, text := range seeds(f, "ship.yaml", shipFaults) {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := LoadShip("ship.yaml", data, nil)
		if (s == nil) != (err != nil) {
			t.Fatalf("ship %v, error %v", s, err)
		}
		checkPlaces(t, err)
		if s == nil {
			return
		}
		for _, p := range s.Pumps {
			if p.Curves == nil || !(p.MinSpeed < p.MaxSpeed) || !(p.Suction.Lo < p.Suction.Hi) {
				t.Fatalf("a pump that makes no sense: %+v", p)
			}
		}
	})
}

func FuzzLoadPlan(f *testing.F) {
	for _, text := range seeds(f, "plan.yaml", planFaults) {
		f.Add([]byte(text))
	}
	ship, err := LoadShip("ship.yaml", []byte(example(f, "ship.yaml")), nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := LoadPlan("plan.yaml", data, ship)
		if (p == nil) != (err != nil) {
			t.Fatalf("plan %v, error %v", p, err)
		}
		checkPlaces(t, err)
		if p == nil {
			return
		}
		for _, a := range p.Parcels {
			if !(a.Liquid.Density > 0) || !(a.Limits.Manifold > 0) || len(a.Pumps) == 0 {
				t.Fatalf("a parcel that makes no sense: %+v", a)
			}
		}
	})
}

func seeds(f *testing.F, name string, faults []fault) []string {
	good := example(f, name)
	texts := []string{good, "", "\ufeff", "a: *b", "a: &a [*a]", "- - - -", "{[", "? : ?", "a: !!binary x", "%YAML 9.9\n---\n", "#\n#", "a:\n #\n- #\n"}
	for _, c := range faults {
		text := good
		for _, e := range c.edits {
			text = strings.Replace(text, e[0], strings.ReplaceAll(e[1], "‸", ""), 1)
		}
		texts = append(texts, text)
	}
	return texts
}

func checkPlaces(t *testing.T, err error) {
	if err == nil {
		return
	}
	for _, e := range form.Each(err) {
		at, ok := e.(*PosError)
		if !ok || at.File == "" || strings.ContainsFunc(at.Error(), func(r rune) bool { return !unicode.IsPrint(r) }) {
			t.Fatalf("%q has no place or cannot be shown", e)
		}
	}
}

// The ship and the plan are read before the first screen.
func BenchmarkLoad(b *testing.B) {
	folder := os.DirFS("testdata")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(folder); err != nil {
			b.Fatal(err)
		}
	}
}
