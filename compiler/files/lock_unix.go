//go:build unix

package files

import (
	"errors"
	"os"
	"syscall"
)

// Lock waits for the lock of an open file; the system gives it back when the process ends, however it ends.
func Lock(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX) }

// Unlock gives the lock back.
func Unlock(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }

// tryLock locks a folder if no other run has. Where a file system has no locks there is none, and where a folder cannot be
// opened, who writes there says why.
func tryLock(dir string) (unlock func(), held bool) {
	f, err := os.Open(dir)
	if err != nil {
		return func() {}, false
	}
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.EWOULDBLOCK):
			f.Close()
			return nil, true
		}
		return func() { f.Close() }, false
	}
}

// syncFolder makes the names of a folder last. Not every file system can, and every one keeps the old or the new.
func syncFolder(dir string) {
	if f, err := os.Open(dir); err == nil {
		f.Sync()
		f.Close()
	}
}
