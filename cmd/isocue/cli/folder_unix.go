//go:build unix

package cli

import (
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

// folderWait is how long a run waits for another that writes into the same folder.
const folderWait = 10 * time.Second

// lockFolder keeps other runs from writing into a folder; the system unlocks it when the process ends, however it ends. Where a
// file system has no locks there is none. busy, if there is one, is called once before it waits for another run.
func lockFolder(dir string, busy func()) (unlock func(), err error) {
	f, err := os.Open(dir)
	if err != nil { // who writes there says why
		return func() {}, nil
	}
	for waited := time.Duration(0); ; waited += 10 * time.Millisecond {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case !errors.Is(err, syscall.EWOULDBLOCK):
			return func() { f.Close() }, nil
		case waited > folderWait:
			f.Close()
			return nil, fmt.Errorf("another isocue has been writing into its folder for %v, allowed: one at a time; try again", folderWait)
		case waited == 0 && busy != nil:
			busy()
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// syncFolder makes the names of a folder last. Not every file system can, and every one keeps the old or the new.
func syncFolder(dir string) {
	if f, err := os.Open(dir); err == nil {
		f.Sync()
		f.Close()
	}
}
