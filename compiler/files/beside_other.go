//go:build !linux

package files

import (
	"errors"
	"os"
)

// unnamed has no way here.
func unnamed(string) (*os.File, error) { return nil, errors.ErrUnsupported }

func giveName(*os.File, string) error { return errors.ErrUnsupported }

// TogetherMost is one: each file is synced by itself.
const TogetherMost = 1

func SyncAround([]string) error { return errors.ErrUnsupported }
