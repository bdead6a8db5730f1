// Command gainwright turns the spec of a tuned controller into integer code for a small
// microcontroller, with proofs of what that code can do.
package main

import "os"

func main() { os.Exit(Do(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
