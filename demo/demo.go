package demo

import (
	"embed"
	"io/fs"
)

//go:embed ship.yaml plan.yaml tanks/*.csv
var files embed.FS

//go:embed template
var template embed.FS

// Files returns the demo's discharge folder: ship.yaml, plan.yaml and
// tanks/*.csv. Its log is made from Rounds.
func Files() fs.FS { return files }

// Template returns the folder that a real ship starts from: the same files
// with every key explained, and placeholder figures that load.
func Template() fs.FS {
	sub, err := fs.Sub(template, "template")
	if err != nil {
		panic(err) // only an invalid path, and this one is constant
	}
	return sub
}
