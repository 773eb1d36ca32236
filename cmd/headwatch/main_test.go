package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) { testscript.Main(m, map[string]func(){"headwatch": main}) }

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   "testdata/script",
		Setup: home,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":   exits,
			"replace": replace,
		},
	})
}

// TestReadme: each command that README.md shows runs in the script about it.
func TestReadme(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile("testdata/script/readme.txtar")
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for line := range strings.Lines(string(readme)) {
		if !strings.HasPrefix(line, "    headwatch ") {
			continue
		}
		found++
		command, _, _ := strings.Cut(line, "#")
		if command = strings.TrimSpace(command); !strings.Contains(string(script), " "+command+"\n") {
			t.Errorf("README.md shows %q, no script runs it", command)
		}
	}
	if found == 0 {
		t.Error("README.md shows no command")
	}
}

// home keeps scratch copies of the demo inside the script's own folder.
func home(e *testscript.Env) error {
	dir := filepath.Join(e.WorkDir, "home")
	for _, name := range []string{"HOME", "XDG_CACHE_HOME", "LocalAppData"} {
		e.Setenv(name, dir)
	}
	return os.Mkdir(dir, 0o700)
}

// exits is "exits CODE PROGRAM [ARGUMENT...]": exec, with that exit code.
func exits(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	var exit *exec.ExitError
	switch {
	case err == nil && want != 0:
		ts.Fatalf("exit code 0, want %d", want)
	case err != nil && !errors.As(err, &exit):
		ts.Fatalf("%v", err)
	case err != nil && exit.ExitCode() != want:
		ts.Fatalf("exit code %d, want %d", exit.ExitCode(), want)
	}
}

// replace is "replace OLD NEW FILE": OLD once, NEW instead. An empty OLD stands
// for the end of the file. Go's escapes are understood.
func replace(ts *testscript.TestScript, _ bool, args []string) {
	old, err := strconv.Unquote(`"` + args[0] + `"`)
	ts.Check(err)
	with, err := strconv.Unquote(`"` + args[1] + `"`)
	ts.Check(err)
	file := ts.MkAbs(args[2])
	data, err := os.ReadFile(file)
	ts.Check(err)
	before, after, found := strings.Cut(string(data), old)
	if old == "" {
		before, after = after, before
	}
	if !found {
		ts.Fatalf("%s has no %q", args[2], old)
	}
	data = []byte(before + with + after)
	ts.Check(os.WriteFile(file, data, 0o644))
}
