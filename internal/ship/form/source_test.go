package form_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"example.org/headwatch/internal/ship/form"
)

// What is no text, or no YAML. The messages stand at the place where the
// library says the trouble begins; it counts lines only.
func TestTextFaults(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "f:1:1: the file is empty"},
		{"byte order mark only", "\ufeff", "f:1:1: the file is empty"},
		{"comment only", "# nothing\n", "f:1:1: the file is empty"},
		{"marker only", "---\n", "f:1:1: the file is empty"},
		{"list", "- a\n", "f:1:1: tank file: want keys with values, found a list"},
		{"word", "hello\n", `f:1:1: tank file: want keys with values, found "hello"`},
		{"binary", "a: 1\n\x00", "f:2:1: control character U+0000; the file must be plain text"},
		{"lone carriage return", "a: 1\rb: 2", "f:1:5: control character U+000D; the file must be plain text"},
		{"Latin-1", "name: \xd8rnes\n", "f:1:7: byte 0xD8 is not UTF-8; save the file as UTF-8 text"},
		{"UTF-16", "\xff\xfea\x00", "f:1:1: the file is saved as UTF-16; save it as UTF-8"},
		{"too large", strings.Repeat("#", 1<<20+1), "f: larger than 1048576 bytes, too large to be right"},
		{"two documents", "a: 1\n---\nb: 2\n", "f:2:1: a second document begins here; one file holds one document"},
		{"text after the end", "a: 1\n...\nb: 2\n", "f:3: text after the end of the document; one file holds one document"},
		{"tabs", "a:\n\tb: 1\n \tc: 2\n", "f:2:1: a tab in the indentation (lines with one: 2); indent with spaces"},
		{"tab before a value", "a: b\nc:\t\t@d\n", "f:2: a value cannot begin with a tab or one of % @ `; put it in quotes"},
		{"too deep", strings.Repeat("[", 30) + strings.Repeat("]", 30), "f:1:21: nested more than 20 deep"},
		{"too many", "a: 1\nb: [" + strings.Repeat("1, ", 201) + "]\n", "f:2:4: more entries than the 200 that are read"},
		{"far too deep", strings.Repeat("[", 20000), "f:1: nested too deep"},
		{"open list", "a: 1\nb: [1, 2\nc: 3\n", "f:2: the list that begins here is not closed; want a comma between items and \"]\" at its end"},
		{"open braces", "a: 1\nb: {c: 2\nd: 3\n", "f:2: the braces that begin here are not closed; want a comma between keys and \"}\" at the end"},
		{"open quote", "a: \"1\nb: 2\n", "f:3: the file ends inside quotes; a closing quote is missing above"},
		{"two colons", "a: 1\nb: c: 2\n", "f:2: a \":\" where no key is wanted; check the indentation, and put text that holds a colon in quotes"},
		{"no colon", "a: 1\nb\nc: 2\n", "f:2: a \":\" is wanted after a key"},
		{"bad indentation", "a: 1\nb:\n  c: 2\n d: 3\n", "f:4: a line in the block that begins here does not fit; check its indentation, colons and brackets"},
		{"backslash", "a: 1\nb: \"tanks\\q\"\n", "f:2: a backslash in double quotes; use single quotes or \"/\""},
		{"alias of nothing", "a: 1\nbc: *nothing\n", `f:2:5: alias "*nothing": aliases are not read; write the values out, or put the text in quotes`},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := form.Read("f", "tank/1", []byte(c.text), func(*form.Mapping) { t.Error("the reader was called") })
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// An alias bomb must cost nothing: nine levels of nine are 387 million words
// when expanded.
func TestAliasBomb(t *testing.T) {
	bomb := "format: tank/1\na: &a [x, x, x, x, x, x, x, x, x]\n"
	for c := 'b'; c <= 'i'; c++ {
		bomb += string(c) + ": &" + string(c) + " [" + strings.Repeat("*"+string(c-1)+", ", 9) + "]\n"
	}
	start := time.Now()
	err := form.Read("f", "tank/1", []byte(bomb), func(*form.Mapping) {})
	if err == nil || !strings.HasPrefix(err.Error(), "f:2:4: anchor \"&a\": anchors are not read; write the values out\n") {
		t.Errorf("got %v", err)
	}
	if took := time.Since(start); took > time.Second {
		t.Errorf("took %v", took)
	}
}

// A file that is wrong all over is told in part.
func TestTooManyFaults(t *testing.T) {
	text := "format: tank/1\nlist:\n" + strings.Repeat("- x\n", 150)
	err := form.Read("f", "tank/1", []byte(text), func(m *form.Mapping) {
		for _, v := range m.Must("list").List("figure") {
			v.Number()
		}
		m.Must("name")
	})
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 101 || lines[100] != "f: and 51 more" { // 150 figures and a missing key
		t.Errorf("%d lines, the last is %q", len(lines), lines[len(lines)-1])
	}
}

func TestPosError(t *testing.T) {
	inner := errors.New("wrong")
	for _, c := range []struct {
		err  form.PosError
		want string
	}{
		{form.PosError{"f", 0, 0, inner}, "f: wrong"},
		{form.PosError{"f", 3, 0, inner}, "f:3: wrong"},
		{form.PosError{"f", 3, 7, inner}, "f:3:7: wrong"},
	} {
		if c.err.Error() != c.want || !errors.Is(&c.err, inner) {
			t.Errorf("got %v, want %s", &c.err, c.want)
		}
	}
}
