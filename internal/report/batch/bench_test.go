package batch

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"reflect"
	"strconv"
	"testing"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
)

const benchRows = 100_000

// readings returns n readings that differ from row to row.
func readings(n int) []byte {
	text := []byte("time,pump,speed,suction,discharge\n")
	for i := range n {
		text = append(text, "2026-03-01T00:00:00+01:00,COP "...)
		text = strconv.AppendInt(text, int64(1+i%3), 10)
		text = strconv.AppendInt(append(text, ','), int64(1000+i%400), 10)
		text = strconv.AppendFloat(append(text, ','), 0.2+float64(i%1500)/1000, 'f', 3, 64)
		text = strconv.AppendFloat(append(text, ','), 5.5+float64(i%2900)/1000, 'f', 3, 64)
		text = append(text, '\n')
	}
	return text
}

// BenchmarkRun is CSV to NDJSON; "plain" is the same on one core with
// encoding/csv and encoding/json, as one would write it first.
func BenchmarkRun(b *testing.B) {
	in := readings(benchRows)
	batch := newBatch(b, NDJSON)
	perSecond := func(b *testing.B) {
		b.ReportMetric(benchRows*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
	}
	b.Run("pipeline", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if tally, err := batch.Run(bytes.NewReader(in), io.Discard); tally.Rows != benchRows || err != nil {
				b.Fatal(tally, err)
			}
		}
		perSecond(b)
	})
	b.Run("plain", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := plain(batch, bytes.NewReader(in), io.Discard); err != nil {
				b.Fatal(err)
			}
		}
		perSecond(b)
	})
}

// TestPipelineAgrees: the same records as the plain way, in the same order, over
// many chunks.
func TestPipelineAgrees(t *testing.T) {
	const n = 20_000
	in := readings(n)
	b := newBatch(t, NDJSON)
	var got, want bytes.Buffer
	if tally, err := b.Run(bytes.NewReader(in), &got); tally != (Tally{Rows: n}) || err != nil {
		t.Fatal(tally, err)
	}
	if err := plain(b, bytes.NewReader(in), &want); err != nil {
		t.Fatal(err)
	}
	g, w := json.NewDecoder(&got), json.NewDecoder(&want)
	for i := range n {
		var a, b map[string]any
		if err := errors.Join(g.Decode(&a), w.Decode(&b)); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("record %d\n got %v\nwant %v", i, a, b)
		}
	}
}

// plain reads columns in the usual order and writes the same records.
func plain(b *Batch, in io.Reader, out io.Writer) error {
	rows, to := csv.NewReader(in), json.NewEncoder(out)
	if _, err := rows.Read(); err != nil {
		return err
	}
	for {
		fields, err := rows.Read()
		if err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		p, _ := b.ship.FindPump(fields[1])
		var k [3]units.Keyed
		for i, unit := range []string{"rpm", p.SuctionUnit, p.DischargeUnit} {
			d := units.Pressure
			if i == 0 {
				d = units.Speed
			}
			if k[i], err = units.ParseKeyed(d, fields[2+i], unit); err != nil {
				return err
			}
		}
		r := record{time: fields[0], pump: p.Name, speed: k[0].SI}
		r.Estimate, err = hydraulics.NewMeter(&p.Pump).Estimate(hydraulics.Reading{
			Speed: k[0].SI, SpeedHalf: k[0].Half, Suction: k[1].SI, SuctionHalf: k[1].Half,
			Discharge: k[2].SI, DischargeHalf: k[2].Half}, b.liquids[0])
		if err != nil {
			return err
		}
		object := map[string]any{"time": r.time, "pump": r.pump, "state": r.State.String(), "flags": r.Flags.Append([]string{})}
		for i := range figures {
			if v := figures[i].si(&r) * factors[i]; v == v {
				object[figures[i].name] = v
			} else {
				object[figures[i].name] = nil
			}
		}
		if err := to.Encode(object); err != nil {
			return err
		}
	}
}
