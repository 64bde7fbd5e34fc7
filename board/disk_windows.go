package board

import (
	"errors"
	"syscall"
)

// isFull says whether a disk, or a person's share of it, is full:
// ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL, ERROR_DISK_QUOTA_EXCEEDED.
func isFull(err error) bool { return isOneOf(err, 39, 112, 1295) }

// isReadOnly says whether nothing can be written on a disk at all:
// ERROR_WRITE_PROTECT.
func isReadOnly(err error) bool { return isOneOf(err, 19) }

// isGone says whether a drive or a network folder has stopped answering:
// ERROR_NOT_READY, ERROR_REM_NOT_LIST, ERROR_BAD_NETPATH, ERROR_DEV_NOT_EXIST,
// ERROR_UNEXP_NET_ERR, ERROR_NETNAME_DELETED, ERROR_BAD_NET_NAME,
// ERROR_SEM_TIMEOUT, ERROR_NETWORK_UNREACHABLE.
func isGone(err error) bool { return isOneOf(err, 21, 51, 53, 55, 59, 64, 67, 121, 1231) }

func isOneOf(err error, codes ...syscall.Errno) bool {
	for _, c := range codes {
		if errors.Is(err, c) {
			return true
		}
	}
	return false
}
