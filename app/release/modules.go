package main

import (
	"debug/buildinfo"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os/exec"
	"runtime/debug"
	"slices"
	"strings"
)

// module is a Go module that is linked into a program.
type module struct {
	Path, Version string
	// Sum is the check sum of go.sum, "" for the standard library.
	Sum string
	// Dir is where its source lies on the machine that makes the release; it does not
	// reach what is written.
	Dir string
}

// standardLibrary is the path of the module that a program's Go version stands for.
const standardLibrary = "std"

// modulesOf lists what is linked into programs, sorted, each once, the standard library
// among them.
func modulesOf(programs []string) ([]module, error) {
	found := map[string]module{}
	for _, program := range programs {
		info, err := buildinfo.ReadFile(program)
		if err != nil {
			return nil, fmt.Errorf("%s tells nothing of how it was built: %w", program, err)
		}
		for _, m := range linkedInto(info) {
			if was, ok := found[m.Path]; ok && was != m {
				return nil, fmt.Errorf("%s has %s %s, another program has %s", program, m.Path, m.Version, was.Version)
			}
			found[m.Path] = m
		}
	}
	var out []module
	for _, path := range slices.Sorted(maps.Keys(found)) {
		out = append(out, found[path])
	}
	return out, nil
}

// linkedInto lists what one program holds, in no order.
func linkedInto(info *buildinfo.BuildInfo) []module {
	out := []module{{Path: standardLibrary, Version: strings.TrimPrefix(info.GoVersion, "go")}}
	for _, d := range info.Deps {
		out = append(out, linked(d))
	}
	return out
}

func linked(d *debug.Module) module {
	if d.Replace != nil {
		d = d.Replace
	}
	return module{Path: d.Path, Version: d.Version, Sum: d.Sum}
}

// locate finds where the sources of modules lie, by asking go.
func locate(modules []module) error {
	var wanted []string
	for _, m := range modules {
		if m.Path != standardLibrary {
			wanted = append(wanted, m.Path)
		}
	}
	out, err := output("go", append([]string{"list", "-m", "-json"}, wanted...)...)
	if err != nil {
		return err
	}
	dirs := map[string]string{}
	for r := json.NewDecoder(strings.NewReader(out)); ; {
		var m struct{ Path, Version, Dir string }
		if err := r.Decode(&m); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return fmt.Errorf("go list: %w", err)
		}
		dirs[m.Path+"@"+m.Version] = m.Dir
	}
	root, err := output("go", "env", "GOROOT")
	if err != nil {
		return err
	}
	for i, m := range modules {
		modules[i].Dir = dirs[m.Path+"@"+m.Version]
		if m.Path == standardLibrary {
			modules[i].Dir = strings.TrimSpace(root)
		}
		if modules[i].Dir == "" {
			return fmt.Errorf("the source of %s %s is not here; run this where the program was built", m.Path, m.Version)
		}
	}
	return nil
}

func output(name string, args ...string) (string, error) {
	out, err := exec.Command(name, args...).Output()
	if failed := (*exec.ExitError)(nil); errors.As(err, &failed) {
		return "", fmt.Errorf("%s: %w: %s", name, err, failed.Stderr)
	}
	return string(out), err
}
