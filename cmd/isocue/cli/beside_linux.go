package cli

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// unnamed opens a file of a folder that has no name in it: if the process dies, it is gone.
func unnamed(dir string) (*os.File, error) {
	return os.OpenFile(dir, os.O_WRONLY|unix.O_TMPFILE, 0o600)
}

// giveName names such a file; a name that is there is an error.
func giveName(f *os.File, name string) error {
	err := unix.Linkat(unix.AT_FDCWD, fmt.Sprintf("/proc/self/fd/%d", f.Fd()), unix.AT_FDCWD, name, unix.AT_SYMLINK_FOLLOW)
	if err != nil {
		return &os.LinkError{Op: "link", Old: f.Name(), New: name, Err: err}
	}
	return nil
}
