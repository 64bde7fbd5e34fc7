//go:build !windows

package board

import (
	"errors"
	"syscall"
)

// isFull says whether a disk, or a person's share of it, is full.
func isFull(err error) bool { return isOneOf(err, syscall.ENOSPC, syscall.EDQUOT) }

// isReadOnly says whether nothing can be written on a disk at all.
func isReadOnly(err error) bool { return isOneOf(err, syscall.EROFS) }

// isGone says whether a drive or a network folder has stopped answering.
func isGone(err error) bool {
	return isOneOf(err, syscall.EIO, syscall.ENXIO, syscall.ENODEV, syscall.ESTALE, syscall.ENOTCONN, syscall.ETIMEDOUT,
		syscall.EHOSTDOWN, syscall.EHOSTUNREACH, syscall.ENETDOWN, syscall.ENETUNREACH)
}

func isOneOf(err error, codes ...syscall.Errno) bool {
	for _, c := range codes {
		if errors.Is(err, c) {
			return true
		}
	}
	return false
}
