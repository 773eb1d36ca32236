package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"syscall"

	"github.com/gofrs/flock"
)

// system is what a log asks of the operating system: no more than tests can
// make fail.
type system interface {
	OpenFile(name string, flag int, perm fs.FileMode) (file, error)
	Stat(name string) (fs.FileInfo, error)
	SyncDir(name string) error
	// Lock takes the lock that the file name stands for; ErrInUse: another has it.
	Lock(name string) (unlock func() error, err error)
}

// file is an open file of a system.
type file interface {
	io.ReaderAt
	io.Writer
	io.Closer
	Stat() (fs.FileInfo, error)
	Sync() error
	Truncate(size int64) error
}

func sizeOf(f file) (int64, error) {
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// disk is the system outside of tests.
type disk struct{}

func (disk) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	f, err := os.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err // not f: a nil *os.File would be a file that is not nil
	}
	return f, nil
}

func (disk) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

// SyncDir makes new names in a folder lasting. Windows does that by itself, and
// some network shares cannot be asked to.
func (disk) SyncDir(name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	dir, err := os.Open(name)
	if err != nil {
		return err
	}
	err = dir.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil
	}
	return errors.Join(err, dir.Close())
}

func (disk) Lock(name string) (unlock func() error, err error) {
	lock := flock.New(name, flock.SetPermissions(0o644))
	locked, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("no lock can be had: %w", err)
	}
	if !locked {
		return nil, ErrInUse
	}
	return lock.Unlock, nil
}
