package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

// Names in the folder of a discharge. The lock has a file of its own: on
// Windows a lock on the log would keep readers out.
const (
	FileName = "pumping-log.jsonl"
	lockName = "pumping-log.lock"
)

// shortLine is the length of a short line [bytes]; few are shorter.
const shortLine = 300

// Why a log is not written.
var (
	ErrInUse     = errors.New("another running instance writes this log, or did when this one started")
	ErrReadOnly  = errors.New("opened for reading only")
	ErrClosed    = errors.New("log closed")
	ErrEmpty     = errors.New(FileName + " holds no entry yet") // Open and Read return it; Create goes on from there
	ErrNotLogged = errors.New("not logged")                     // the disk failed, or the log is not to be written
	ErrForeign   = errors.New("another program changed " + FileName)
)

// Log is an open pumping log. Its methods may be called from several
// goroutines; while an Append waits for the disk the others wait too.
type Log struct {
	mu  sync.Mutex
	sys system
	dir string
	now func() time.Time

	entries []Entry
	chain   chain // as far as acknowledged, for a reader as far as read
	finding error // what follows there: nil, *TornError or *BrokenError
	refusal error // why nothing can be written; nil for the writer

	file   file         // for appending; nil for a reader and after a failed write
	unlock func() error // nil for a reader
	unsure []byte       // what a failed write may have left after chain.end
}

// Open opens the log in dir for writing; now is the clock that gives entries the
// time they were keyed. When the log cannot be written, it is open all the same
// and Writable says why. Open fails when there is no entry to be read: with
// fs.ErrNotExist, ErrEmpty, *BrokenError or what the system says.
func Open(dir string, now func() time.Time) (*Log, error) { return open(disk{}, dir, now) }

// Read opens the log in dir for reading only; it creates no file and takes no
// lock. It fails as Open does.
func Read(dir string) (*Log, error) {
	return (&Log{sys: disk{}, dir: dir, refusal: ErrReadOnly}).start()
}

// Create makes the log in dir with its first entry, whose Body is an Opened. A
// log that holds an entry already, or anything but the torn beginning of one, is
// left alone: the error is then fs.ErrExist or *BrokenError.
func Create(dir string, now func() time.Time, first Draft) (*Log, error) {
	return create(disk{}, dir, now, first)
}

func open(sys system, dir string, now func() time.Time) (*Log, error) {
	l := &Log{sys: sys, dir: dir, now: now}
	if _, err := sys.Stat(l.path()); err != nil {
		return nil, err // before the lock leaves its file in just any folder
	}
	l.refusal = l.acquire(0)
	return l.start()
}

// start reads the log for the first time and, for the writer, mends its end.
func (l *Log) start() (*Log, error) {
	_, err := l.load()
	if err == nil && len(l.entries) == 0 {
		if err = ErrEmpty; l.broken() {
			err = l.finding
		}
	}
	if err != nil {
		return nil, errors.Join(err, l.release(err))
	}
	if l.refusal == nil {
		if err := l.mend(); err != nil {
			_ = l.release(err) // it can be read still
		}
	}
	return l, nil
}

// mend makes the end of the file fit for the next entry.
func (l *Log) mend() error {
	if l.broken() {
		return l.finding
	}
	recovered, err := l.recover()
	if err == nil {
		_, err = l.commit(recovered)
	}
	return err
}

func create(sys system, dir string, now func() time.Time, first Draft) (*Log, error) {
	l := &Log{sys: sys, dir: dir, now: now}
	if err := l.acquire(os.O_CREATE); err != nil {
		return nil, err
	}
	if err := l.begin(first); err != nil {
		return nil, errors.Join(err, l.release(err))
	}
	return l, nil
}

func (l *Log) begin(first Draft) error {
	if _, err := l.load(); err != nil {
		return err
	}
	if l.broken() {
		return l.finding
	}
	if len(l.entries) > 0 {
		return &fs.PathError{Op: "create", Path: l.path(), Err: fs.ErrExist}
	}
	recovered, err := l.recover()
	if err == nil {
		err = l.sys.SyncDir(l.dir)
	}
	if err == nil {
		_, err = l.commit(append([]Draft{first}, recovered...))
	}
	return err
}

func (l *Log) path() string { return filepath.Join(l.dir, FileName) }

func (l *Log) broken() bool {
	var broken *BrokenError
	return errors.As(l.finding, &broken)
}

// acquire takes the lock and opens the file for appending.
func (l *Log) acquire(flag int) error {
	unlock, err := l.sys.Lock(filepath.Join(l.dir, lockName))
	if err != nil {
		return err
	}
	f, err := l.sys.OpenFile(l.path(), os.O_RDWR|os.O_APPEND|flag, 0o644)
	if err != nil {
		return errors.Join(err, unlock())
	}
	l.file, l.unlock = f, unlock
	return nil
}

// release gives up writing for the reason given.
func (l *Log) release(reason error) error {
	var err error
	if l.file != nil {
		err = l.file.Close()
	}
	if l.unlock != nil {
		err = errors.Join(err, l.unlock())
	}
	l.file, l.unlock, l.refusal = nil, nil, reason
	return err
}

// load reads what follows the chain and returns the entries it found.
func (l *Log) load() ([]Entry, error) {
	f := l.file
	if f == nil {
		var err error
		if f, err = l.sys.OpenFile(l.path(), os.O_RDONLY, 0); err != nil {
			return nil, err
		}
		defer f.Close()
	}
	size, err := sizeOf(f)
	if err != nil {
		return nil, err
	}
	if size < l.chain.end {
		return nil, fmt.Errorf("%w: it has %d bytes, %d were read before", ErrForeign, size, l.chain.end)
	}
	known := len(l.entries)
	l.entries = slices.Grow(l.entries, int(min(size-l.chain.end, 32<<20)/shortLine)) // within reason: it may be garbage
	l.finding, err = scan(io.NewSectionReader(f, l.chain.end, size-l.chain.end), &l.chain, func(e Entry) {
		l.entries = append(l.entries, e)
	})
	return l.entries[known:], err
}

// Entries returns all entries in the order of Seq. They are not to be changed.
func (l *Log) Entries() []Entry {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.entries[:len(l.entries):len(l.entries)]
}

// Opened returns the data of the first entry.
func (l *Log) Opened() Opened {
	body, _ := l.Entries()[0].Body() // there is one and it decodes: chain.next saw to it
	return body.(Opened)
}

// Writable returns nil when entries can be appended, otherwise why not:
// ErrInUse, ErrReadOnly, ErrClosed, *BrokenError or what the system said.
func (l *Log) Writable() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.refusal
}

// Finding returns what follows the last entry in the file and is none: nil for
// nothing, *TornError or *BrokenError.
func (l *Log) Finding() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.finding
}

// Refresh reads what another instance has appended and returns it. For the
// writer there is never anything.
func (l *Log) Refresh() ([]Entry, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	switch l.refusal {
	case nil:
		return nil, nil
	case ErrClosed:
		return nil, ErrClosed
	}
	return l.load()
}

// Close gives the lock back. Entries can still be had.
func (l *Log) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.release(ErrClosed)
}
