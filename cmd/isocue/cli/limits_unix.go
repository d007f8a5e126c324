//go:build unix

package cli

import (
	"os/signal"
	"syscall"
)

// ordinary makes an error of a write past the largest size that a file may have, which by itself would end the process.
func ordinary() { signal.Ignore(syscall.SIGXFSZ) }
