package ui

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"example.org/headwatch/internal/journal"
)

// reason returns what the system said, without the name of a file: that may be a
// temporary one, and long.
func reason(err error) string {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err.Error()
	case errors.As(err, &link):
		return link.Err.Error()
	}
	return err.Error()
}

// notLoggedWords says why a round could not be logged and what to do; kept says
// that it would outlive the program.
func notLoggedWords(err error, kept bool) string {
	if errors.Is(err, journal.ErrForeign) {
		return "another program changed the log. Copy your figures down, open the folder again."
	}
	if wrapped, ok := err.(interface{ Unwrap() []error }); ok { // of "not logged" and the reason
		if all := wrapped.Unwrap(); len(all) == 2 && errors.Is(all[0], journal.ErrNotLogged) {
			err = all[1]
		}
	}
	if !kept {
		return reason(err) + ". It is not kept over a restart either; L tries again."
	}
	return reason(err) + ". Nothing typed is lost; L tries again."
}

// followWords says why another's log can't be followed.
func followWords(err error) string {
	if errors.Is(err, journal.ErrForeign) {
		return "another program changed the log: what is shown may be old; open the folder again"
	}
	return "the log can't be followed: " + reason(err)
}

// refusalWords says what a broken log means and what to do.
func refusalWords(refusal error) string {
	var broken *journal.BrokenError
	if !errors.As(refusal, &broken) {
		return ""
	}
	return fmt.Sprintf("The log was altered or damaged at line %d: entries after it are not shown, and nothing can be logged here. "+
		"Leave this folder as it is, tell the chief officer, and go on in a new folder (headwatch new).", broken.Line)
}

// tornNote says that the end of the log was set aside when it was opened: its
// newest entry is about that then.
func tornNote(recent []journal.Entry) []string {
	if len(recent) == 0 {
		return nil
	}
	body, err := recent[len(recent)-1].Body()
	torn, ok := body.(journal.Recovered)
	if err != nil || !ok {
		return nil
	}
	return []string{fmt.Sprintf("The log ended in part of a line, as after a power cut: its %d bytes are set aside in %s. All entries before it are whole.", torn.Bytes, torn.Torn)}
}
