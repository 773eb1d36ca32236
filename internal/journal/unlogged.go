package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// UnloggedName is the file that keeps what was keyed and not yet logged.
const UnloggedName = "unlogged-round.json"

// unloggedDraft is a Draft as the file holds it.
type unloggedDraft struct {
	At   time.Time       `json:"at"`
	By   string          `json:"by"`
	Kind Kind            `json:"kind"`
	Data json.RawMessage `json:"data"`
}

// SaveUnlogged keeps drafts in dir so that they outlive the process, in place
// of those kept before; without drafts it removes the file. At any moment the
// file holds the drafts of one call, whole. It is no log: nothing in it is
// acknowledged.
func SaveUnlogged(dir string, drafts []Draft) error {
	name := filepath.Join(dir, UnloggedName)
	if len(drafts) == 0 {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		return nil
	}
	kept := make([]unloggedDraft, len(drafts))
	for i, d := range drafts {
		data, err := encode(d.Body)
		if err != nil {
			return fmt.Errorf("%s: %w", d.Body.Kind(), err)
		}
		kept[i] = unloggedDraft{At: d.At, By: d.By, Kind: d.Body.Kind(), Data: data}
	}
	text, err := json.MarshalIndent(kept, "", "  ")
	if err != nil {
		return err
	}
	return writeWhole(name, append(text, '\n'))
}

// writeWhole writes a file that is whole at any moment: the old one or the new.
func writeWhole(name string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(name), filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// LoadUnlogged returns what SaveUnlogged kept in dir, none when there is no
// file. Drafts that are among the entries logged are left out: a process may
// have been killed between logging a round and forgetting it. A file that
// cannot be understood is an error that says where it was set aside.
func LoadUnlogged(dir string, logged []Entry) ([]Draft, error) {
	name := filepath.Join(dir, UnloggedName)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	drafts, err := decodeUnlogged(text, logged)
	if err != nil {
		aside := name + ".unreadable"
		return nil, errors.Join(fmt.Errorf("%s: %w; set aside as %s", UnloggedName, err, filepath.Base(aside)), os.Rename(name, aside))
	}
	return drafts, nil
}

func decodeUnlogged(text []byte, logged []Entry) ([]Draft, error) {
	var kept []unloggedDraft
	if err := json.Unmarshal(text, &kept); err != nil {
		return nil, err
	}
	var drafts []Draft
	for i, k := range kept {
		body, err := Entry{Kind: k.Kind, Data: k.Data}.Body()
		if err != nil {
			return nil, fmt.Errorf("draft %d: %w", i+1, err)
		}
		_, offset := k.At.Zone()
		d := Draft{At: k.At.In(time.FixedZone("", offset)), By: k.By, Body: body}
		if !d.among(logged) {
			drafts = append(drafts, d)
		}
	}
	return drafts, nil
}

// among reports whether the draft is one of the entries: of the same time, with
// the same data.
func (d Draft) among(entries []Entry) bool {
	data, err := encode(d.Body)
	if err != nil {
		return false
	}
	at := d.At.Truncate(time.Millisecond) // what a line keeps of it
	for i := range entries {
		if e := &entries[i]; e.At.Equal(at) && e.Kind == d.Body.Kind() && bytes.Equal(e.Data, data) {
			return true
		}
	}
	return false
}
