package main

import (
	"errors"
	"io"
	"io/fs"
	"os"

	"gainwright/model"
)

// load compiles a spec file.
func load(path string) (*model.Unit, error) {
	src, err := read(path)
	if err != nil {
		return nil, err
	}
	return model.Compile(path, src), nil
}

// most is more than any spec may hold: the reader of specs says so.
const most = 1 << 20

func read(path string) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, most))
	if err != nil {
		return nil, wrong("%v", err)
	}
	return src, nil
}

// open opens a file that the command line names.
func open(path string) (*os.File, error) {
	about, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, wrong("there is no file %s", path)
	case err == nil && about.IsDir():
		return nil, wrong("%s is a folder, a file is expected", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, wrong("%v", err)
	}
	return f, nil
}

// folder refuses a place for a folder where a file stands.
func folder(path string) error {
	if about, err := os.Stat(path); err == nil && !about.IsDir() {
		return wrong("--out takes a folder, and %s is a file", path)
	}
	return nil
}
