package journal_test

import (
	"fmt"
	"os"
	"time"

	"example.org/headwatch/internal/journal"
)

// A log is created with the files it rests on, written by one instance, and read
// by any number of others.
func Example() {
	dir, err := os.MkdirTemp("", "discharge")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	clock := func() time.Time { return time.Date(2026, 3, 1, 6, 31, 2, 0, time.FixedZone("", 3600)) }
	files := map[string][]byte{"ship.yaml": []byte("format: ship/1\n")}
	l, err := journal.Create(dir, clock, journal.Draft{
		At: clock(), By: "C/O Berg", Body: journal.NewOpened(journal.Real, "0.1.0", files),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer l.Close()
	_, err = l.Append(journal.Draft{At: clock().Add(-time.Minute), By: "2/O Dahl", Body: journal.Reading{
		Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: "9.87 bar", Unchanged: []string{"suction"},
	}})
	fmt.Println("logged:", err == nil)

	second, err := journal.Open(dir, clock)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer second.Close()
	fmt.Println("second instance:", second.Writable())
	for _, e := range second.Entries() {
		fmt.Println(e.Seq, e.At.Format(time.RFC3339), e.Kind, e.By)
	}
	// Output:
	// logged: true
	// second instance: another running instance writes this log, or did when this one started
	// 1 2026-03-01T06:31:02+01:00 opened C/O Berg
	// 2 2026-03-01T06:30:02+01:00 reading 2/O Dahl
}
