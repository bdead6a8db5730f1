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
	f, err := os.Open(path)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, wrong("there is no file %s", path)
		}
		return nil, wrong("%v", err)
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, most))
	if err != nil {
		return nil, wrong("%v", err)
	}
	return src, nil
}
