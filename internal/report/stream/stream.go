package stream

import (
	"io"
	"runtime"
)

// Run sends chunks from a source, c first, through workers to out, in order,
// with join between what chunks with records wrote. newWorker is called once
// for each core; what it returns fills Out and Tally of a chunk. An error is
// that of out; why the source ended, its Err tells.
//
// There are so few chunks that no channel is ever full. After an error the
// source may still be read from until a read returns.
func Run(src *Source, c *Chunk, out io.Writer, join string, newWorker func() func(*Chunk)) (Tally, error) {
	workers := runtime.GOMAXPROCS(0)
	chunks := 2*workers + 1
	free, work, order := make(chan *Chunk, chunks), make(chan *Chunk, chunks), make(chan *Chunk, chunks)
	for range chunks - 1 {
		free <- NewChunk()
	}
	for range workers {
		do := newWorker()
		go func() {
			for c := range work {
				c.Out, c.Tally = c.Out[:0], Tally{}
				do(c)
				c.done <- struct{}{}
			}
		}()
	}
	quit := make(chan struct{})
	defer close(quit)
	go func() {
		defer close(order)
		defer close(work)
		for more := true; more; more = src.Next(c) {
			order <- c
			work <- c
			select {
			case c = <-free:
			case <-quit:
				return
			}
		}
	}()
	return collect(order, free, out, join)
}

// collect writes the chunks in order as they are done.
func collect(order <-chan *Chunk, free chan<- *Chunk, out io.Writer, join string) (Tally, error) {
	var sum Tally
	for c := range order {
		<-c.done
		if sum.Rows > 0 && c.Tally.Rows > 0 && join != "" {
			if _, err := io.WriteString(out, join); err != nil {
				return sum, err
			}
		}
		if _, err := out.Write(c.Out); err != nil {
			return sum, err
		}
		sum.Rows += c.Tally.Rows
		sum.Bad += c.Tally.Bad
		free <- c
	}
	return sum, nil
}
