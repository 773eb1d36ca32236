package journal

import (
	"errors"
	"fmt"
	"os"
	"testing"
)

// run keys rounds into a new log on a disk with faults and returns the texts that
// were acknowledged.
func run(sys *faulty, dir string) (acked []string) {
	l, err := create(sys, dir, noon, opened())
	if err != nil {
		return nil
	}
	defer l.Close()
	for round := range 4 {
		texts := []string{fmt.Sprint(round, " a"), fmt.Sprint(round, " b")}
		entries, err := l.Append(note(texts[0]), note(texts[1]))
		if err == nil {
			acked = append(acked, texts...)
		} else if entries != nil || !errors.Is(err, ErrNotLogged) {
			panic(fmt.Sprint("acknowledged in spite of ", err))
		}
	}
	return acked
}

// notes opens the log afterwards on a good disk and returns its notes.
func notes(t *testing.T, dir string) (texts []string) {
	t.Helper()
	l, err := Open(dir, noon)
	if errors.Is(err, ErrEmpty) {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if l.Writable() != nil {
		t.Fatal(l.Writable())
	}
	for _, e := range l.Entries() {
		body, err := e.Body()
		if err != nil {
			t.Fatal(err)
		}
		if n, ok := body.(Note); ok {
			texts = append(texts, n.Text)
		}
	}
	mustAppend(t, l, note("afterwards"))
	return texts
}

// TestFaultAtEveryCall lets each call to the disk fail: once, twice in a row, and
// from there on. What was acknowledged is there, in order; with a disk that
// recovers nothing else is.
func TestFaultAtEveryCall(t *testing.T) {
	calls := 0
	run(&faulty{free: 1 << 40, fail: func(string) error { calls++; return nil }}, t.TempDir())
	if calls < 10 {
		t.Fatalf("only %d calls seen", calls)
	}
	for _, length := range []int{1, 2, 3, 1 << 30} {
		for at := range calls {
			var log []string
			sys := &faulty{free: 1 << 40}
			sys.fail = func(call string) error {
				log = append(log, call)
				if n := len(log) - 1; n >= at && n-at < length {
					return errFault
				}
				return nil
			}
			dir := t.TempDir()
			acked := run(sys, dir)
			if length == 1 && at > 3 && len(acked) != 8 {
				t.Errorf("one fault at %q lost a round: %q", log[at], acked)
			}
			got := []string(nil)
			if dirHasLog(dir) {
				got = notes(t, dir)
			}
			if len(got) < len(acked) || !equal(got[:len(acked)], acked) {
				t.Fatalf("fault at %d %q, %d long: acknowledged %q, found %q", at, log[at], length, acked, got)
			}
			if length < 1<<30 && len(got) != len(acked) {
				t.Errorf("fault at %d %q, %d long: not acknowledged, but found: %q of %q", at, log[at], length, got, acked)
			}
		}
	}
}

func dirHasLog(dir string) bool {
	_, err := disk{}.Stat(dir + "/" + FileName)
	return err == nil
}

func equal(a, b []string) bool { return fmt.Sprint(a) == fmt.Sprint(b) }

// TestFullDisk fills the disk at each byte, frees it, and goes on.
func TestFullDisk(t *testing.T) {
	sys := &faulty{fail: healthy, free: 1 << 40}
	dir := t.TempDir()
	l, err := create(sys, dir, noon, opened())
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	size := int64(len(format(l.entries[0])))
	for free := range size {
		known := len(l.Entries())
		sys.free = free
		entries, err := l.Append(note("x"))
		if err == nil {
			continue // it fitted
		}
		if entries != nil || !errors.Is(err, ErrNotLogged) || !errors.Is(err, errFull) {
			t.Fatalf("%d bytes free: %v", free, err)
		}
		if got, finding := scanAll(readFile(t, dir)); len(got) != known || finding != nil {
			t.Fatalf("%d bytes free: the file has %d entries of %d, finding %v", free, len(got), known, finding)
		}
		sys.free = 1 << 40
		mustAppend(t, l, note("freed"))
	}
	if got, finding := scanAll(readFile(t, dir)); len(got) != len(l.Entries()) || finding != nil {
		t.Errorf("%d entries of %d, finding %v", len(got), len(l.Entries()), finding)
	}
}

// TestFaultWhileRecovering: a torn tail that cannot be set aside makes the log
// read-only and stays; the next instance on a good disk sets it aside.
func TestFaultWhileRecovering(t *testing.T) {
	good := logBytes(t)
	calls := 1
	for at := 0; at < calls; at++ {
		dir := folder(t, append(good[:len(good):len(good)], `{"seq":5,"at"`...))
		n := 0
		sys := &faulty{free: 1 << 40}
		sys.fail = func(string) error {
			if n++; n > at {
				return errFault
			}
			return nil
		}
		l, err := open(sys, dir, noon)
		if err == nil { // else it could not even be read
			if len(l.Entries()) < 4 || l.Writable() == nil && len(l.Entries()) != 5 {
				t.Errorf("fault at %d: %d entries, writable %v", at, len(l.Entries()), l.Writable())
			}
			l.Close()
		}
		calls = max(calls, n)
		again, err := Open(dir, noon)
		if err != nil || again.Writable() != nil || again.Finding() != nil || len(again.Entries()) < 4 {
			t.Fatalf("fault at %d: %v, %v, %v", at, err, again.Writable(), again.Finding())
		}
		mustAppend(t, again, note("going on"))
		again.Close()
	}
}

// TestRaceWithForeignWriter: another program writes between the look at the size
// and the write.
func TestRaceWithForeignWriter(t *testing.T) {
	sys := &faulty{free: 1 << 40, fail: healthy}
	dir := t.TempDir()
	l, err := create(sys, dir, noon, opened())
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	sys.fail = func(call string) error {
		if call == "write" {
			sys.fail = healthy
			f, err := sys.OpenFile(l.path(), os.O_WRONLY|os.O_APPEND, 0)
			if err != nil {
				return err
			}
			_, err = f.(*faultyFile).file.Write([]byte("foreign\n"))
			return errors.Join(err, f.Close())
		}
		return nil
	}
	for range 2 {
		if _, err := l.Append(note("x")); !errors.Is(err, ErrForeign) {
			t.Errorf("append: %v", err)
		}
	}
	if entries, _ := scanAll(readFile(t, dir)); len(entries) != 1 || len(l.Entries()) != 1 {
		t.Errorf("%d entries", len(entries))
	}
}
