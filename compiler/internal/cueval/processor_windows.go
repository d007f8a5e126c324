package cueval

import (
	"syscall"
	"time"
)

// processorTime is how much of the processor this process has used, all its threads together. A system that does not say is one
// where nothing is ever too long; the bound on memory stays.
func processorTime() time.Duration {
	p, err := syscall.GetCurrentProcess()
	if err != nil {
		return 0
	}
	var begun, ended, kernel, user syscall.Filetime
	if syscall.GetProcessTimes(p, &begun, &ended, &kernel, &user) != nil {
		return 0
	}
	span := func(f syscall.Filetime) time.Duration { // of a hundred nanoseconds; the type's own method counts from 1970
		return time.Duration(int64(f.HighDateTime)<<32|int64(f.LowDateTime)) * 100
	}
	return span(kernel) + span(user)
}
