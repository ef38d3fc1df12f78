//go:build unix

package main

import (
	"errors"
	"syscall"
)

// isDiskFault tells of an error that is the machine's: a full or failing disk.
func isDiskFault(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) || errors.Is(err, syscall.EFBIG) || errors.Is(err, syscall.EIO)
}
