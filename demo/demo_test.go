package demo

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
)

func TestFolders(t *testing.T) {
	tests := []struct {
		name  string
		fsys  fs.FS
		files []string
		says  map[string][]string // words that a file must hold
	}{
		{"demo", Files(),
			[]string{"plan.yaml", "ship.yaml", "tanks/1c.csv", "tanks/2c.csv", "tanks/3c.csv", "tanks/4c.csv", "tanks/5c.csv", "tanks/6c.csv"},
			map[string][]string{
				"ship.yaml": {"of our own invention", "fictional: true", "MT Skerry Venture"},
				"plan.yaml": {"fictional: true"},
			}},
		{"template", Template(),
			[]string{"plan.yaml", "ship.yaml", "tanks/1c.csv"},
			map[string][]string{
				"ship.yaml":    {"MY SHIP", "advises only", "fictional: false", "replace every figure"},
				"plan.yaml":    {"MY PORT", "advises only", "replace every figure"},
				"tanks/1c.csv": {"PLACEHOLDER"},
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var files []string
			err := fs.WalkDir(tt.fsys, ".", func(path string, d fs.DirEntry, err error) error {
				if err == nil && !d.IsDir() {
					files = append(files, path)
				}
				return err
			})
			if err != nil || !slices.Equal(files, tt.files) {
				t.Errorf("files %q, %v, want %q", files, err, tt.files)
			}
			for path, words := range tt.says {
				text, err := fs.ReadFile(tt.fsys, path)
				if err != nil {
					t.Error(err)
				}
				for _, w := range words {
					if !strings.Contains(string(text), w) {
						t.Errorf("%s does not say %q", path, w)
					}
				}
			}
		})
	}
}

// Someone who writes the template's files finds every key of the demo's there.
func TestTemplateHasEveryKey(t *testing.T) {
	keys := func(fsys fs.FS, path string) map[string]bool {
		text, err := fs.ReadFile(fsys, path)
		if err != nil {
			t.Fatal(err)
		}
		found := map[string]bool{}
		for line := range strings.Lines(string(text)) {
			line, _, _ = strings.Cut(line, "#")
			for _, part := range strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune("{,} \n", r) }) {
				if key, ok := strings.CutSuffix(part, ":"); ok {
					found[key] = true
				}
			}
		}
		return found
	}
	for _, path := range []string{"ship.yaml", "plan.yaml"} {
		demo, template := keys(Files(), path), keys(Template(), path)
		if len(demo) < 20 {
			t.Errorf("%s: only %d keys found", path, len(demo))
		}
		for key := range demo {
			if !template[key] && key != "cop" { // cop is a name
				t.Errorf("template/%s lacks %s", path, key)
			}
		}
	}
}
