package handover

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"panewright/board"
)

// EarlierError is the error for a folder that holds another pack of the same job,
// which is to be kept.
type EarlierError struct {
	Dir  string
	Cut  int  // the number of the cut that it was written for
	Same bool // the same cut, in another state of the job
}

// Error says what is there and what to do.
func (e *EarlierError) Error() string {
	state := ""
	if e.Same {
		state = ", of an earlier state of the job"
	}
	return fmt.Sprintf("handover: %s holds the pack of cut %d%s: choose another folder, or replace it", e.Dir, e.Cut, state)
}

// keep refuses to write over a pack of the job that is not just the one to be
// written.
func keep(dir string, j *board.Job) error {
	var there struct {
		Job string `json:"job"`
		Sum string `json:"job_sha256"`
		Cut int    `json:"cut"`
	}
	data, err := os.ReadFile(filepath.Join(dir, summaryName))
	if err != nil || json.Unmarshal(data, &there) != nil || there.Job != j.Name {
		return nil // there is none
	}
	sum, err := jobSum(j)
	if err == nil && there.Sum != sum {
		err = &EarlierError{Dir: dir, Cut: there.Cut, Same: there.Cut == j.Cut}
	}
	return err
}
