package files

import (
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Fetch reads a regular file of at most limit bytes; of a larger one it reads a byte more, for its caller to tell. Other kinds of
// file are errors, and are not so much as opened: a pipe or device would wait for ever, or never end.
func Fetch(name string, limit int) ([]byte, error) {
	fi, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if err := Regular(name, fi); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(name, os.O_RDONLY|nonblock, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if fi, err = f.Stat(); err == nil { // of what was opened: the name may lead elsewhere by now
		err = Regular(name, fi)
	}
	if err != nil {
		return nil, err
	}
	if fi.Size() == 0 { // empty; or a system's file that has no size, such as the log of its kernel, and waits for more
		return nil, nil
	}
	return io.ReadAll(io.LimitReader(f, int64(limit)+1))
}

// Regular refuses what is no regular file, and says what it is.
func Regular(name string, fi fs.FileInfo) error {
	if fi.Mode().IsRegular() {
		return nil
	}
	return fmt.Errorf("%s is %s, allowed: a regular file", name, what(fi.Mode()))
}

func what(m fs.FileMode) string {
	switch {
	case m.IsDir():
		return "a folder"
	case m&fs.ModeNamedPipe != 0:
		return "a pipe"
	case m&fs.ModeDevice != 0:
		return "a device"
	case m&fs.ModeSocket != 0:
		return "a socket"
	}
	return "not a file"
}
