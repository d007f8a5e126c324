//go:build unix

package cueval

import (
	"syscall"
	"time"
)

// processorTime is how much of the processor this process has used, all its threads together. A system that does not say is one
// where nothing is ever too long; the bound on memory stays.
func processorTime() time.Duration {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
