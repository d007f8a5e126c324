//go:build !linux

package cli

import (
	"errors"
	"os"
)

// unnamed has no way here.
func unnamed(string) (*os.File, error) { return nil, errors.ErrUnsupported }

func giveName(*os.File, string) error { return errors.ErrUnsupported }

// clientsASync is one: each file is synced by itself.
const clientsASync = 1

func syncAround([]string) error { return errors.ErrUnsupported }
