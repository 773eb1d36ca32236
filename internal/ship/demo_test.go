package ship

import (
	"testing"

	"example.org/headwatch/demo"
)

// The demo is a folder without a fault, and all parts of it are in use.
func TestDemo(t *testing.T) {
	d, err := Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "fictional", d.Ship.Fictional && d.Plan.Fictional, true)
	equal(t, "missing", append(d.Ship.Missing, d.Plan.Missing...), []string(nil))
	equal(t, "notes", append(d.Ship.Notes, d.Plan.Notes...), []string(nil))
}
