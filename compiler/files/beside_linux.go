package files

import (
	"fmt"
	"os"
	"slices"

	"golang.org/x/sys/unix"
)

// unnamed opens a file of a folder that has no name in it: if the process dies, it is gone.
func unnamed(dir string) (*os.File, error) {
	return os.OpenFile(dir, os.O_RDWR|unix.O_TMPFILE, 0o600)
}

// giveName names such a file; a name that is there is an error.
func giveName(f *os.File, name string) error {
	err := unix.Linkat(unix.AT_FDCWD, fmt.Sprintf("/proc/self/fd/%d", f.Fd()), unix.AT_FDCWD, name, unix.AT_SYMLINK_FOLLOW)
	if err != nil {
		return &os.LinkError{Op: "link", Old: f.Name(), New: name, Err: err}
	}
	return nil
}

// TogetherMost is how many clients of a worker are synced together at most: the more, the more is done anew after a kill.
const TogetherMost = 16

// SyncAround makes all last that was written on the file systems of folders.
func SyncAround(dirs []string) error {
	var done []uint64
	for _, dir := range dirs {
		f, err := os.Open(dir)
		if err != nil {
			return err
		}
		defer f.Close()
		var st unix.Stat_t
		if err := unix.Fstat(int(f.Fd()), &st); err != nil {
			return os.NewSyscallError("fstat", err)
		}
		if slices.Contains(done, uint64(st.Dev)) {
			continue
		}
		if err := unix.Syncfs(int(f.Fd())); err != nil {
			return os.NewSyscallError("syncfs", err)
		}
		done = append(done, uint64(st.Dev))
	}
	return nil
}
