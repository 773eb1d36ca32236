package journal

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestUnloggedKeepsDrafts(t *testing.T) {
	dir := t.TempDir()
	want := []Draft{
		{At: noon(), By: "2/O Dahl", Body: Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: "9.x", Unchanged: []string{"speed"}}},
		{At: noon().Add(time.Minute), By: "2/O Dahl", Body: Ullage{Tank: "4C", Ullage: "11,34 m"}},
	}
	if err := SaveUnlogged(dir, want[:1]); err != nil {
		t.Fatal(err)
	}
	if err := SaveUnlogged(dir, want); err != nil {
		t.Fatal(err)
	}
	got, err := LoadUnlogged(dir, nil)
	if err != nil || len(got) != len(want) {
		t.Fatalf("%v, %v", got, err)
	}
	for i := range want {
		if !got[i].At.Equal(want[i].At) || got[i].By != want[i].By || !reflect.DeepEqual(got[i].Body, want[i].Body) {
			t.Errorf("got %+v, want %+v", got[i], want[i])
		}
	}
	if names := namesIn(t, dir); len(names) != 1 {
		t.Errorf("left in the folder: %v", names)
	}
}

func TestUnloggedIsForgotten(t *testing.T) {
	dir := t.TempDir()
	for range 2 { // the second time there is nothing to remove
		if err := SaveUnlogged(dir, nil); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := LoadUnlogged(dir, nil); got != nil || err != nil {
		t.Errorf("got %v, %v from an empty folder", got, err)
	}
	if err := SaveUnlogged(dir, []Draft{note("all fast")}); err != nil {
		t.Fatal(err)
	}
	if err := SaveUnlogged(dir, nil); err != nil {
		t.Fatal(err)
	}
	if names := namesIn(t, dir); len(names) != 0 {
		t.Errorf("left in the folder: %v", names)
	}
}

// A round logged in the moment before a crash must not come back to be logged twice.
func TestUnloggedLeavesOutWhatIsLogged(t *testing.T) {
	l, dir := newLog(t)
	first, second := reading("9.87 bar"), reading("9.90 bar")
	first.At = noon().Add(123456789) // a line keeps milliseconds
	if err := SaveUnlogged(dir, []Draft{first, second}); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, l, first)
	got, err := LoadUnlogged(dir, l.Entries())
	if err != nil || len(got) != 1 || !reflect.DeepEqual(got[0].Body, second.Body) {
		t.Fatalf("got %+v, %v; want the second draft alone", got, err)
	}
}

func TestUnloggedSetsGarbageAside(t *testing.T) {
	for _, text := range []string{"", "{}", "[{}]", `[{"kind":"reading","data":{"pump":"COP 1"}}]`, `[{"kind":"gas","data":{}}]`, "\x00\x00"} {
		dir := t.TempDir()
		name := filepath.Join(dir, UnloggedName)
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		got, err := LoadUnlogged(dir, nil)
		if err == nil || got != nil || !strings.Contains(err.Error(), UnloggedName+".unreadable") {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
		if kept, err := os.ReadFile(name + ".unreadable"); err != nil || string(kept) != text {
			t.Errorf("%q: kept %q, %v", text, kept, err)
		}
		if got, err := LoadUnlogged(dir, nil); got != nil || err != nil {
			t.Errorf("%q: the second time %v, %v", text, got, err)
		}
	}
}

func TestUnloggedSaysWhyItCannot(t *testing.T) {
	if err := SaveUnlogged(filepath.Join(t.TempDir(), "gone"), []Draft{note("x")}); err == nil {
		t.Error("no error for a folder that is not there")
	}
}

// Any text that a draft may carry comes back as it was.
func TestUnloggedAnyText(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		figure := rapid.StringMatching(`[0-9.,+±a-z="\\<é]{1,20}`).Draw(rt, "figure")
		d := Draft{At: noon(), By: "2/O", Body: Reading{Manifold: "M2", Pressure: figure}}
		if err := SaveUnlogged(dir, []Draft{d}); err != nil {
			rt.Fatal(err)
		}
		got, err := LoadUnlogged(dir, nil)
		if err != nil || len(got) != 1 || !reflect.DeepEqual(got[0].Body, d.Body) {
			rt.Fatalf("%q came back as %+v, %v", figure, got, err)
		}
	})
}

func FuzzUnlogged(f *testing.F) {
	for _, s := range []string{"[]", "null", `[{"at":"2026-03-01T12:00:00Z","by":"x","kind":"ullage","data":{"tank":"4C","ullage":"1 m"}}]`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		drafts, err := decodeUnlogged(text, nil)
		for _, d := range drafts {
			if err != nil || d.Body.check() != nil {
				t.Fatalf("%q: a bad draft %+v with error %v", text, d, err)
			}
		}
	})
}

func namesIn(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}
