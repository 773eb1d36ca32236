package form

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

const (
	maxDepth = 20  // levels; a ship file has seven
	maxItems = 200 // of one list, and keys with their values of one mapping
)

// Read reads a file that people fill in. Its root has keys, one of which is
// "format" and holds format, as in "ship/1"; read asks for the others. The
// error joins a *PosError for each fault, in the order of the file; name is
// what they call it.
func Read(name, format string, data []byte, read func(m *Mapping)) error {
	f := &faults{file: name}
	if root := f.root(data, format); root.Given() {
		root.Mapping(func(m *Mapping) {
			m.Must("format")
			read(m)
		})
	}
	return errors.Join(f.sorted()...)
}

// root returns the root of a file, absent when there is none of the format.
// A file of another format is one fault, not one for each of its keys.
func (f *faults) root(data []byte, format string) Value {
	node := parse(f, data)
	if node == nil {
		return Value{}
	}
	kind, _, _ := strings.Cut(format, "/")
	root := Value{f: f, name: kind + " file", node: node}
	if !root.is(yaml.MappingNode, "keys with values") {
		return Value{}
	}
	for i := 0; i+1 < len(node.Content); i += 2 {
		if is := node.Content[i+1]; node.Content[i].Value == "format" && is.Value != format {
			Value{f: f, name: "format", node: is}.Fault("want %s", format)
			return Value{}
		}
	}
	return root
}

// parse reads one YAML document into nodes that are safe to walk: a tree, no
// aliases, of bounded depth. It records what is wrong and then returns nil:
// a text that breaks these rules would only cause a crowd of further faults.
func parse(f *faults, data []byte) *yaml.Node {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !checkText(f, data) || !checkTabs(f, data) {
		return nil
	}
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	doc, err := decode(decoder)
	if errors.Is(err, io.EOF) || err == nil && isNull(doc.Content[0]) {
		f.add(1, 1, "the file is empty")
		return nil
	}
	if err != nil {
		addSyntax(f, data, err)
		return nil
	}
	switch second, err := decode(decoder); {
	case err == nil:
		f.at(second, "a second document begins here; one file holds one document")
		return nil
	case !errors.Is(err, io.EOF):
		addSyntax(f, data, err)
		return nil
	}
	root := doc.Content[0]
	if checkTree(f, root, 1); len(f.list) > 0 {
		return nil
	}
	return root
}

// decode reads the next document. The library is known to panic where comments
// stand in odd places.
func decode(d *yaml.Decoder) (doc *yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("cannot be read as YAML: %v", r)
		}
	}()
	doc = new(yaml.Node)
	err = d.Decode(doc)
	return doc, err
}

// checkText refuses what is not a text of reasonable size. One fault is
// enough: what follows it in a binary file is noise.
func checkText(f *faults, data []byte) bool {
	if len(data) > maxFile {
		f.add(0, 0, "%w", errTooLarge)
		return false
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		f.add(1, 1, "the file is saved as UTF-16; save it as UTF-8")
		return false
	}
	line, column := 1, 1
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			f.add(line, column, "byte 0x%02X is not UTF-8; save the file as UTF-8 text", data[i])
			return false
		case r == '\r' && bytes.HasPrefix(data[i:], []byte("\r\n")), r == '\t', r == '\n':
		case unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp):
			f.add(line, column, "control character %U; the file must be plain text", r)
			return false
		}
		i += size
		column++
		if r == '\n' {
			line, column = line+1, 1
		}
	}
	return true
}

// checkTabs refuses tabs before the first word of a line, which YAML forbids
// and an editor hides.
func checkTabs(f *faults, data []byte) bool {
	line, column, count := 0, 0, 0
	for i, text := range bytes.Split(data, []byte("\n")) {
		words := bytes.TrimLeft(text, " \t\r")
		tab := bytes.IndexByte(text[:len(text)-len(words)], '\t')
		if tab < 0 || len(words) == 0 || words[0] == '#' {
			continue
		}
		if count++; count == 1 {
			line, column = i+1, tab+1
		}
	}
	if count > 0 {
		f.add(line, column, "a tab in the indentation (lines with one: %d); indent with spaces", count)
	}
	return count == 0
}

// checkTree refuses what would make the walk unsafe or its faults puzzling.
func checkTree(f *faults, n *yaml.Node, depth int) {
	switch {
	case depth > maxDepth:
		f.at(n, "nested more than %d deep", maxDepth)
		return
	case n.Kind == yaml.AliasNode:
		f.at(n, "alias %q: aliases are not read; write the values out", "*"+n.Value)
		return
	case len(n.Content) > maxItems:
		f.at(n, "more entries than the %d that are read", maxItems)
		return
	case n.Anchor != "":
		f.at(n, "anchor %q: anchors are not read; write the values out", "&"+n.Anchor)
	case n.Style&yaml.TaggedStyle != 0:
		f.at(n, "tag %q: tags are not read; put text in quotes instead", n.Tag)
	}
	for i, child := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 {
			checkKey(f, child)
		}
		checkTree(f, child, depth+1)
	}
}

func checkKey(f *faults, key *yaml.Node) {
	switch {
	case key.Kind == yaml.MappingNode || key.Kind == yaml.SequenceNode:
		f.at(key, "a key must be a word, found %s", kindOf(key))
	case key.Tag == "!!merge":
		f.at(key, `merge key "<<": merge keys are not read; write the values out`)
	}
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.Tag == "!!null" }

// addSyntax records a fault that the library found, in plainer words where
// its own are a parser's.
func addSyntax(f *faults, data []byte, err error) {
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	line, column := 0, 0 // no line: the library means the first
	if rest, ok := strings.CutPrefix(text, "line "); ok {
		number, rest, _ := strings.Cut(rest, ": ")
		if n, err := strconv.Atoi(number); err == nil {
			line, text = n, rest
		}
	}
	for _, p := range plainer {
		if strings.Contains(text, p.library) {
			f.add(max(1, line+p.lines), column, "%s", p.plain)
			return
		}
	}
	line = max(1, line)
	if _, name, ok := strings.Cut(text, "unknown anchor '"); ok {
		name = "*" + strings.TrimSuffix(name, "' referenced")
		line, column = placeOf(data, name)
		text = fmt.Sprintf("alias %q: aliases are not read; write the values out, or put the text in quotes", name)
	}
	f.add(line, column, "%s", text)
}

// plainer holds the library's messages that need other words. Its parser, not
// its scanner, counts lines from 0; lines makes up for that.
var plainer = []struct {
	library, plain string
	lines          int
}{
	{"did not find expected key", "a line in the block that begins here does not fit; check its indentation, colons and brackets", 1},
	{"did not find expected '-' indicator", "a line in the list that begins here does not fit; each item begins with \"- \" in the same column", 1},
	{"did not find expected ',' or ']'", "the list that begins here is not closed; want a comma between items and \"]\" at its end", 1},
	{"did not find expected ',' or '}'", "the braces that begin here are not closed; want a comma between keys and \"}\" at the end", 1},
	{"did not find expected node content", "a value is wanted here", 1},
	{"did not find expected <document start>", "text after the end of the document; one file holds one document", 1},
	{"mapping values are not allowed", "a \":\" where no key is wanted; check the indentation, and put text that holds a colon in quotes", 0},
	{"could not find expected ':'", "a \":\" is wanted after a key", 0},
	{"block sequence entries are not allowed", "a list item \"- \" where none is wanted; begin it on its own line", 0},
	{"cannot start any token", "a value cannot begin with a tab or one of % @ `; put it in quotes", 0},
	{"found unexpected end of stream", "the file ends inside quotes; a closing quote is missing above", 0},
	{"found unknown escape character", "a backslash in double quotes; use single quotes or \"/\"", 0},
	{"exceeded max depth", "nested too deep", 0},
}

// placeOf returns the line and column of the first occurrence of text.
func placeOf(data []byte, text string) (line, column int) {
	before, _, _ := bytes.Cut(data, []byte(text))
	begin := bytes.LastIndexByte(before, '\n') + 1
	return bytes.Count(before, []byte("\n")) + 1, utf8.RuneCount(before[begin:]) + 1
}
