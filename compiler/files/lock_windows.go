package files

import (
	"errors"
	"os"
	"path/filepath"

	"golang.org/x/sys/windows"
)

// Lock waits for a lock on the whole of an open file; the system gives it back when the process ends, however it ends.
func Lock(f *os.File) error {
	return windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK, 0, 1, 1<<30, &windows.Overlapped{OffsetHigh: 1 << 30})
}

// Unlock gives the lock back.
func Unlock(f *os.File) error {
	return windows.UnlockFileEx(windows.Handle(f.Fd()), 0, 1, 1<<30, &windows.Overlapped{OffsetHigh: 1 << 30})
}

// lockName is the file that stands in a folder while a run writes there: a folder itself cannot be locked here.
const lockName = ".isocue-lock"

// tryLock locks a folder if no other run has: it opens a file that nobody else can open meanwhile, and that the system removes
// when it is closed or the process ends. Where such a file cannot be made, who writes there says why.
func tryLock(dir string) (unlock func(), held bool) {
	name, err := windows.UTF16PtrFromString(filepath.Join(dir, lockName))
	if err != nil {
		return func() {}, false
	}
	h, err := windows.CreateFile(name, windows.GENERIC_WRITE|windows.DELETE, 0, nil, windows.OPEN_ALWAYS,
		windows.FILE_ATTRIBUTE_HIDDEN|windows.FILE_FLAG_DELETE_ON_CLOSE, 0)
	switch {
	case errors.Is(err, windows.ERROR_SHARING_VIOLATION):
		return nil, true
	case err != nil:
		return func() {}, false
	}
	return func() { windows.CloseHandle(h) }, false
}

func syncFolder(string) {}
