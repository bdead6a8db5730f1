package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
)

// Put writes files into a folder, by path with slashes, each aside and all of them before the first is renamed, and
// replaces what is there. No path leads out of the folder, not by a link either.
func Put(dir string, files map[string][]byte) error {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if !fs.ValidPath(name) || !filepath.IsLocal(filepath.FromSlash(name)) {
			return fmt.Errorf("%s lies outside %s", filepath.Join(dir, name), dir)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	p := pending{dir: dir, root: root}
	defer p.cleanUp()
	names := slices.SortedFunc(maps.Keys(files), recordLast)
	for _, name := range names {
		if err := p.check(name); err != nil {
			return err
		}
	}
	for _, name := range names {
		if err := p.stage(name, files[name]); err != nil {
			return err
		}
	}
	return p.finish()
}

// pending is what stands aside.
type pending struct {
	dir   string
	root  *os.Root
	aside []staged
	made  []string // folders
}

type staged struct{ temporary, name string }

// check finds out before anything is written what a rename would fail at.
func (p *pending) check(name string) error {
	at := filepath.Join(p.dir, filepath.FromSlash(name))
	for up := path.Dir(name); up != "."; up = path.Dir(up) {
		if about, err := p.root.Lstat(up); err == nil && !about.IsDir() {
			return fmt.Errorf("%s is no folder, and one is to stand there", filepath.Join(p.dir, filepath.FromSlash(up)))
		}
	}
	about, err := p.root.Lstat(name)
	switch {
	case missing(err):
		return nil
	case err == nil && about.IsDir():
		return fmt.Errorf("%s is a folder, a file is to stand there", at)
	}
	return err
}

// stage writes a file under another name in its own folder.
func (p *pending) stage(name string, content []byte) error {
	if err := p.folders(path.Dir(name)); err != nil {
		return err
	}
	temporary := path.Join(path.Dir(name), fmt.Sprintf(".%.40s.%016x", path.Base(name), rand.Uint64()))
	file, err := p.root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	p.aside = append(p.aside, staged{temporary, name})
	_, wrote := file.Write(content)
	return errors.Join(wrote, file.Sync(), file.Close())
}

func (p *pending) folders(name string) error {
	if name == "." {
		return nil
	}
	if err := p.folders(path.Dir(name)); err != nil {
		return err
	}
	err := p.root.Mkdir(name, 0o755)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err == nil {
		p.made = append(p.made, name)
	}
	return err
}

// finish gives every file its name.
func (p *pending) finish() error {
	for len(p.aside) > 0 {
		next := p.aside[0]
		if err := p.root.Rename(next.temporary, next.name); err != nil {
			return err
		}
		p.aside = p.aside[1:]
	}
	return nil
}

// cleanUp removes what finish left, and the folders that stay empty.
func (p *pending) cleanUp() {
	for _, s := range p.aside {
		_ = p.root.Remove(s.temporary)
	}
	for _, name := range slices.Backward(p.made) {
		_ = p.root.Remove(name) // fails, rightly, where something is in it
	}
}
