package form

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// maxFile is how many bytes of a file are read; a ship file has some ten
// thousand, a tank table somewhat more.
const maxFile = 1 << 20

var errTooLarge = fmt.Errorf("larger than %d bytes, too large to be right", maxFile)

// ReadFile reads a file of a folder, but no more of it than anyone would write
// by hand. The error leaves out the path, for the caller to say where it was
// named.
func ReadFile(fsys fs.FS, path string) ([]byte, error) {
	f, err := fsys.Open(path)
	if err != nil {
		return nil, unreadable(err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, unreadable(err)
	}
	if len(data) > maxFile {
		return nil, errTooLarge
	}
	return data, nil
}

func unreadable(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return fmt.Errorf("cannot be read: %w", err)
}
