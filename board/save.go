package board

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Save writes a job to a file, so that a stop at any moment leaves the old file
// or the new one whole: it is written beside its place, synced and renamed. The
// file that was there before stays as path.bak. A link is followed.
func Save(path string, j *Job) error {
	data, err := Encode(j)
	if err != nil {
		return err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if err := replace(path, data); err != nil {
		return fmt.Errorf("board: save %s: %w", path, err)
	}
	return nil
}

// replace puts data in the place of the file at path and keeps the old one as
// path.bak.
func replace(path string, data []byte) (err error) {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = keepOld(path)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err == nil {
		syncDir(dir)
	}
	return err
}

// keepOld copies the file at path, where there is one, to path.bak.
func keepOld(path string) error {
	old, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	beside := path + ".bak.new"
	if err := os.WriteFile(beside, old, 0o644); err != nil {
		return err
	}
	return os.Rename(beside, path+".bak")
}

// syncDir makes a rename last. Where a system has no such thing the rename
// stands all the same.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
}

// Load reads a job file. Notes are those of Decode.
func Load(path string) (*Job, []string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("board: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, nil, fmt.Errorf("board: %w", err)
	}
	return Decode(path, data)
}
