package journal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// TestMain lets the test binary be the other instance: with JOURNAL_TEST_WRITER
// set it writes into that folder and prints each entry that was acknowledged.
func TestMain(m *testing.M) {
	if dir := os.Getenv("JOURNAL_TEST_WRITER"); dir != "" {
		if err := write(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func write(dir string) error {
	l, err := Open(dir, noon)
	if err != nil {
		return err
	}
	if err := l.Writable(); err != nil {
		return err
	}
	fmt.Println("open")
	for {
		entries, err := l.Append(reading("9.87 bar"), note(strings.Repeat("x", rand.IntN(9000))))
		if err != nil {
			return err
		}
		for _, e := range entries {
			fmt.Println(e.Seq, e.Sum)
		}
	}
}

// TestKilledWriter kills another process at random moments while it writes:
// meanwhile this one can only read; afterwards all that was acknowledged is there.
func TestKilledWriter(t *testing.T) {
	l, dir := newLog(t)
	l.Close()
	acked := make(map[string]bool)
	for range 20 {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), "JOURNAL_TEST_WRITER="+dir)
		cmd.Stderr = os.Stderr
		out, err := cmd.StdoutPipe()
		if err == nil {
			err = cmd.Start()
		}
		if err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewReader(out)
		if line, err := lines.ReadString('\n'); line != "open\n" {
			t.Fatalf("%q, %v", line, err)
		}
		second, err := Open(dir, noon)
		if err != nil || !errors.Is(second.Writable(), ErrInUse) {
			t.Fatalf("%v, writable %v", err, second.Writable())
		}
		timer := time.AfterFunc(time.Duration(rand.IntN(20_000))*time.Microsecond, func() { cmd.Process.Kill() })
		text, err := io.ReadAll(lines)
		if err != nil {
			t.Fatal(err)
		}
		timer.Stop()
		cmd.Wait()
		for line := range strings.Lines(string(text)) {
			if strings.HasSuffix(line, "\n") {
				acked[strings.TrimSpace(line)] = true
			}
		}
	}
	again, err := Open(dir, noon)
	if err != nil || again.Writable() != nil {
		t.Fatal(err, again.Writable())
	}
	defer again.Close()
	for _, e := range again.Entries() {
		delete(acked, fmt.Sprint(e.Seq, " ", e.Sum))
	}
	if len(acked) > 0 {
		t.Errorf("acknowledged, but lost: %v", acked)
	}
	t.Logf("%d entries", len(again.Entries()))
}
