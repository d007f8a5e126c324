//go:build unix

package ledger

import (
	"os"
	"syscall"
)

// lock waits for the file's lock; the system gives it back when the process ends, however it ends.
func lock(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX) }

func unlock(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }
