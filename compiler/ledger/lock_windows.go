package ledger

import (
	"os"

	"golang.org/x/sys/windows"
)

// lock waits for a lock on the whole file; the system gives it back when the process ends, however it ends.
func lock(f *os.File) error {
	return windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK, 0, 1, 1<<30, &windows.Overlapped{OffsetHigh: 1 << 30})
}

func unlock(f *os.File) error {
	return windows.UnlockFileEx(windows.Handle(f.Fd()), 0, 1, 1<<30, &windows.Overlapped{OffsetHigh: 1 << 30})
}
