package ui

import (
	"sync"

	"example.org/headwatch/internal/journal"
)

// keep keeps what was keyed and not logged in a file of the folder. The root
// hands it the newest drafts at every key, which costs nothing; flush writes
// them, from any goroutine.
type keep struct {
	dir string // empty: nothing is kept

	mu     sync.Mutex // of drafts and stale
	drafts []journal.Draft
	stale  bool // the file does not hold drafts

	writing sync.Mutex
}

// set notes what is to be kept.
func (k *keep) set(drafts []journal.Draft) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(drafts) > 0 || len(k.drafts) > 0 {
		k.drafts, k.stale = drafts, true
	}
}

// pending reports whether the file is not up to date.
func (k *keep) pending() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.stale && k.dir != ""
}

// flush brings the file up to date.
func (k *keep) flush() error {
	k.writing.Lock()
	defer k.writing.Unlock()
	if !k.pending() {
		return nil
	}
	err := journal.SaveUnlogged(k.dir, k.take())
	if err != nil {
		k.mu.Lock()
		k.stale = true
		k.mu.Unlock()
	}
	return err
}

// take returns the drafts that are about to be written.
func (k *keep) take() []journal.Draft {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.stale = false
	return k.drafts
}
