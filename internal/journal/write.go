package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Append logs the drafts, all in one write and one sync, and returns them as the
// entries that a reader will see. After an error none of them is logged: with
// ErrNotLogged the disk failed or the log must not be written, and the same
// drafts may be tried again; otherwise a draft is at fault. A crash before Append
// returns can leave some of them in the log, never one in part.
func (l *Log) Append(drafts ...Draft) ([]Entry, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.refusal != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotLogged, l.refusal)
	}
	return l.commit(drafts)
}

func (l *Log) commit(drafts []Draft) ([]Entry, error) {
	lines, entries, after, err := l.compose(drafts)
	if err != nil || len(entries) == 0 {
		return nil, err
	}
	err = l.put(lines)
	if err != nil && l.file == nil {
		err = l.put(lines)
	}
	if err != nil && l.file == nil {
		_ = l.reopen() // lest it turn up later; what cannot be cut off now the next put will
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotLogged, err)
	}
	l.chain = after
	l.entries = append(l.entries, entries...)
	return entries, nil
}

// compose returns the drafts as lines and as entries, and the chain after them.
func (l *Log) compose(drafts []Draft) (lines []byte, entries []Entry, after chain, err error) {
	after = l.chain
	entered := l.now().Truncate(time.Millisecond)
	for _, d := range drafts {
		e, err := d.entry(after, entered)
		if err != nil {
			return nil, nil, after, err
		}
		line := format(e)
		if e, err = after.next(line); err != nil { // a reader would refuse it too
			return nil, nil, after, err
		}
		lines = append(append(lines, line...), '\n')
		entries = append(entries, e)
	}
	return lines, entries, after, nil
}

// put writes lines at the end of the file and syncs it. When it fails with no
// file open any more, it can be tried again.
func (l *Log) put(lines []byte) error {
	if l.file == nil {
		if err := l.reopen(); err != nil {
			return err
		}
	}
	err := l.untouched()
	if err == nil {
		l.unsure = lines
		_, err = l.file.Write(lines)
	}
	if err == nil {
		err = l.file.Sync()
	}
	if err == nil {
		err = l.sizeIs(l.chain.end + int64(len(lines)))
	}
	if err == nil {
		l.unsure = nil
	} else if !errors.Is(err, ErrForeign) {
		_ = l.file.Close() // after a failed sync its pages are not to be trusted
		l.file = nil
	}
	return err
}

// untouched returns an error when the file is not as this instance left it.
func (l *Log) untouched() error {
	there, err := l.sys.Stat(l.path())
	if err != nil {
		return err
	}
	ours, err := l.file.Stat()
	if err != nil {
		return err
	}
	if !os.SameFile(there, ours) {
		return fmt.Errorf("%s was replaced", FileName) // reopen looks whether it holds the same
	}
	return l.sizeIs(l.chain.end)
}

func (l *Log) sizeIs(want int64) error {
	size, err := sizeOf(l.file)
	if err == nil && size != want {
		err = fmt.Errorf("%w: it has %d bytes, not %d", ErrForeign, size, want)
	}
	return err
}

// reopen opens the file afresh after a failed write and cuts off what that write
// may have left: only if all that was acknowledged is still there, and nothing
// but our own bytes after it.
func (l *Log) reopen() error {
	f, err := l.sys.OpenFile(l.path(), os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		return err
	}
	if err = l.readBack(f); err == nil {
		err = l.cut()
	}
	if err != nil {
		return errors.Join(err, f.Close())
	}
	l.file, l.unsure = f, nil
	return nil
}

func (l *Log) readBack(f file) error {
	var proven chain
	_, err := scan(io.NewSectionReader(f, 0, l.chain.end), &proven, func(Entry) {})
	if err != nil {
		return err
	}
	if proven != l.chain {
		return fmt.Errorf("%w: it does not hold what was logged", ErrForeign)
	}
	tail, err := io.ReadAll(io.NewSectionReader(f, l.chain.end, int64(len(l.unsure))+1))
	if err != nil {
		return err
	}
	for i, b := range tail { // a zero is a byte that never reached the disk
		if i == len(l.unsure) || b != l.unsure[i] && b != 0 {
			return fmt.Errorf("%w: from byte %d on it is not ours", ErrForeign, l.chain.end+int64(i))
		}
	}
	return nil
}

// cut shortens the file to what is acknowledged. It takes a handle of its own: on
// Windows one for appending cannot shorten.
func (l *Log) cut() error {
	f, err := l.sys.OpenFile(l.path(), os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err = f.Truncate(l.chain.end); err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// recover sets a torn tail aside and returns what is to be logged about it.
func (l *Log) recover() ([]Draft, error) {
	var torn *TornError
	if !errors.As(l.finding, &torn) {
		return nil, nil
	}
	tail := make([]byte, torn.Bytes)
	if _, err := l.file.ReadAt(tail, l.chain.end); err != nil {
		return nil, err
	}
	name, err := l.keep(tail)
	if err != nil {
		return nil, fmt.Errorf("cannot set the torn end aside: %w", err)
	}
	if err := l.cut(); err != nil {
		return nil, fmt.Errorf("cannot cut the torn end off: %w", err)
	}
	l.finding = nil
	return []Draft{{At: l.now(), By: "headwatch", Body: Recovered{Torn: name, Bytes: len(tail)}}}, nil
}

// keep writes tail into a new file beside the log and returns its name.
func (l *Log) keep(tail []byte) (name string, err error) {
	name = FileName + ".torn"
	f, err := l.sys.OpenFile(filepath.Join(l.dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	for n := 2; errors.Is(err, fs.ErrExist); n++ {
		name = fmt.Sprintf("%s.torn-%d", FileName, n)
		f, err = l.sys.OpenFile(filepath.Join(l.dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	}
	if err != nil {
		return "", err
	}
	if _, err = f.Write(tail); err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = l.sys.SyncDir(l.dir)
	}
	return name, err
}
