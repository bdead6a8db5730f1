// Package golden holds what the tool writes for each starter, checked in, and the tests that hold it
// against the tool, compile it with every compiler at hand and run it.
//
// The folders below have a go.mod each, so that `go test ./...` passes over them: the tests here copy
// them to a temporary folder and run theirs.
package golden
