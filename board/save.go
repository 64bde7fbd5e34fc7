package board

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Save writes a job to a file so that at every moment, whatever happens, either
// the old file or the new one is there whole: it is written beside, synced and
// renamed, and the folder is synced. The file before is kept as path + ".bak".
// A link is followed to the file it names.
func Save(path string, j *Job) error {
	data, err := Encode(j)
	if err != nil {
		return err
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	if err := replaceFile(path, data); err != nil {
		return fmt.Errorf("board: save %s: %w", path, err)
	}
	return nil
}

// Load reads the job in a file, as Decode does. Where the file is damaged and
// there is a copy of the one before, the error names it.
func Load(path string) (*Job, []string, error) {
	data, err := readFile(path)
	if err != nil {
		return nil, nil, fmt.Errorf("board: %w", err)
	}
	j, notes, err := Decode(path, data)
	if errors.Is(err, ErrNotJob) {
		if _, bad := os.Stat(path + ".bak"); bad == nil {
			err = fmt.Errorf("%w; the copy before it is %s.bak", err, path)
		}
	}
	return j, notes, err
}

// readFile reads a whole file, up to a byte more than any job has.
func readFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxFile+1))
}

// replaceFile puts data in the place of the file, which becomes its .bak.
func replaceFile(path string, data []byte) error {
	mode := os.FileMode(0o644)
	old, err := os.Stat(path)
	switch {
	case err == nil && !old.Mode().IsRegular():
		return errors.New("this is not a plain file")
	case err == nil:
		mode = old.Mode().Perm()
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	beside, err := writeBeside(path, data, mode)
	if err != nil {
		return err
	}
	defer os.Remove(beside) // nothing is there any more when all went well
	if old != nil {
		if err := keepCopy(path, path+".bak", mode); err != nil {
			return err
		}
	}
	if err := os.Rename(beside, path); err != nil {
		return err
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// writeBeside writes and syncs a new file in the folder of path.
func writeBeside(path string, data []byte, mode os.FileMode) (name string, err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err = firstError(err, f.Chmod(mode), f.Sync(), f.Close()); err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}

// keepCopy makes bak a copy of the file; bak is whole at every moment.
func keepCopy(path, bak string, mode os.FileMode) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	beside, err := writeBeside(bak, data, mode)
	if err != nil {
		return err
	}
	if err := os.Rename(beside, bak); err != nil {
		os.Remove(beside)
		return err
	}
	return nil
}

// syncFolder makes a rename outlast a power cut, where folders can be synced; the
// rename stands all the same where they cannot.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
