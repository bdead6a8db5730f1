// Package golang holds the fixed part of the emitted Go tests, embedded in the binary.
package golang

import (
	"embed"
	"io/fs"
	"strings"
)

//go:embed *.go.txt
var files embed.FS

// Tests returns the test files by the name they are emitted under; each starts with `package controller`.
func Tests() map[string]string {
	tests := map[string]string{}
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		panic(err) // the embedded folder is there or the program does not build
	}
	for _, entry := range entries {
		text, err := fs.ReadFile(files, entry.Name())
		if err != nil {
			panic(err)
		}
		tests[strings.TrimSuffix(entry.Name(), ".txt")] = string(text)
	}
	return tests
}
