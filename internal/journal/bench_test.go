package journal

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// BenchmarkAppend measures one entry appended and synced; beside it, in the same
// run, a bare JSON line of the same length and a sync.
func BenchmarkAppend(b *testing.B) {
	b.Run("entry", func(b *testing.B) {
		l, _ := newLog(b)
		measure(b, func() { mustAppend(b, l, reading("9.87 bar")) })
	})
	b.Run("bare", func(b *testing.B) {
		l, _ := newLog(b)
		e := mustAppend(b, l, reading("9.87 bar"))[0]
		f, err := os.Create(filepath.Join(b.TempDir(), "bare.jsonl"))
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		bare := struct {
			Entry
			Data json.RawMessage
		}{e, e.Data}
		measure(b, func() {
			line, err := json.Marshal(bare)
			if err == nil {
				_, err = f.Write(append(line, '\n'))
			}
			if err == nil {
				err = f.Sync()
			}
			if err != nil {
				b.Fatal(err)
			}
		})
	})
}

// measure reports the median and the 99th percentile of act.
func measure(b *testing.B, act func()) {
	b.ReportAllocs()
	var took []time.Duration
	for b.Loop() {
		start := time.Now()
		act()
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
}

// BenchmarkOpen measures reading and proving a log, and with it decoding each
// entry.
func BenchmarkOpen(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		dir := folder(b, manyLines(b, n))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if l, err := Read(dir); err != nil || len(l.Entries()) != n {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/entry")
		})
		b.Run(fmt.Sprint(n, " and decode"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				l, err := Read(dir)
				if err != nil {
					b.Fatal(err)
				}
				for _, e := range l.Entries() {
					if _, err := e.Body(); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}

// manyLines returns a log of n entries, most of them readings.
func manyLines(b *testing.B, n int) []byte {
	first, _ := scanAll(logBytes(b))
	entries := first[:1]
	for i := range n - 1 {
		e := first[1]
		if i%4 == 3 {
			e.Kind, e.Data = KindUllage, fmt.Appendf(nil, `{"tank":"%dC","ullage":"%d.34 m"}`, i%6+1, i%20)
		}
		entries = append(entries, e)
	}
	return seal(entries...)
}

func BenchmarkBody(b *testing.B) {
	data := []byte(`{"pump":"COP 1","speed":"1300 rpm","suction":"0.62 bar","discharge":"9.87 bar","unchanged":["suction"]}`)
	b.Run("short way", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			decodeReading(data)
		}
	})
	b.Run("encoding/json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			decode[Reading](data)
		}
	})
}
