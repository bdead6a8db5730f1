//go:build unix

package target

import "syscall"

// fifo makes a named pipe.
func fifo(path string) error { return syscall.Mkfifo(path, 0o600) }
