package handover

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"kilnpoise/mesh"
)

// manifest is the hidden file that says what Kilnpoise wrote into a folder, so that
// it replaces and removes its own files only.
type manifest struct {
	Format int      `json:"format"`
	Files  []record `json:"files"`
}

// record is a file as it was written, and the set that it belongs to.
type record struct {
	File   string `json:"file"`
	Set    string `json:"set"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// plan is what is to be done once the files of a set are ready.
type plan struct {
	New   []record `json:"new"`
	Stale []record `json:"stale"`
	Kept  manifest `json:"kept"` // as it is to be afterwards
}

const (
	manifestName   = ".kilnpoise-set.json"
	planName       = ".kilnpoise-plan.json"
	manifestFormat = 1
	// largestManifest is far above what any folder needs.
	largestManifest = 4 << 20
)

// readManifest reads what Kilnpoise wrote into a folder. Where that cannot be told,
// nothing is Kilnpoise's.
func readManifest(folder string) manifest {
	var m manifest
	if readJSON(filepath.Join(folder, manifestName), &m) != nil || m.Format != manifestFormat {
		m = manifest{}
	}
	m.Format = manifestFormat
	m.Files = slices.DeleteFunc(m.Files, func(r record) bool { return !plain(r.File) })
	return m
}

// readJSON reads a small hidden file.
func readJSON(path string, into any) error {
	info, err := os.Lstat(path)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() || info.Size() > largestManifest {
		return fmt.Errorf("%s is no file of Kilnpoise", path)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return json.Unmarshal(data, into)
}

func writeJSON(path string, v any) error {
	return mesh.WriteFileWhole(path, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", " ")
		return e.Encode(v)
	})
}

func (m manifest) write(folder string) error {
	return writeJSON(filepath.Join(folder, manifestName), m)
}

// find gives the record of a file.
func (m manifest) find(file string) (record, bool) {
	for _, r := range m.Files {
		if r.File == file {
			return r, true
		}
	}
	return record{}, false
}

// plain reports whether a name stays within its folder.
func plain(file string) bool {
	return file != "" && file == filepath.Base(file) && !strings.HasPrefix(file, ".") && !strings.ContainsAny(file, `/\`)
}

// ours reports whether the name is one that a set has: a list that somebody else wrote
// must not have other files removed.
func (r record) ours() bool {
	return r.File == adviceName || regexp.MustCompile(`^candidate-\d+\.png$`).MatchString(r.File) ||
		r.Set != "" && strings.HasPrefix(r.File, r.Set+"-")
}

// unchanged reports whether the file lies in the folder as it was written.
func (r record) unchanged(folder string) bool {
	now, err := recordOf(folder, r.File, r.Set)
	return err == nil && now == r
}

// recordOf looks at a file as it is.
func recordOf(folder, file, set string) (record, error) {
	path := filepath.Join(folder, file)
	info, err := os.Lstat(path)
	if err != nil {
		return record{}, err
	}
	if !info.Mode().IsRegular() {
		return record{}, fmt.Errorf("%s is no file", file)
	}
	f, err := os.Open(path)
	if err != nil {
		return record{}, err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return record{}, err
	}
	return record{file, set, info.Size(), hex.EncodeToString(h.Sum(nil))}, nil
}

// plan says what is to be done with the files of the stage.
func (s *Set) plan(files []string, out Outlook) (*plan, error) {
	p := &plan{Kept: manifest{Format: manifestFormat}}
	for _, f := range files {
		r, err := recordOf(s.stage, f, s.name)
		if err != nil {
			return nil, fmt.Errorf("%s was not written into %s (%w); write the files again", f, s.folder, withoutPath(err))
		}
		p.New = append(p.New, r)
	}
	for _, r := range readManifest(s.folder).Files {
		switch {
		case slices.Contains(files, r.File):
		case slices.Contains(out.Removed, r.File):
			p.Stale = append(p.Stale, r)
		case r.Set != s.name && !out.torn[r.Set]:
			p.Kept.Files = append(p.Kept.Files, r)
		}
	}
	p.Kept.Files = append(p.Kept.Files, p.New...)
	return p, nil
}

func (p *plan) write(stage string) error { return writeJSON(filepath.Join(stage, planName), p) }

// readPlan reads the plan in a folder that is ready.
func readPlan(ready string) (*plan, error) {
	var p plan
	if err := readJSON(filepath.Join(ready, planName), &p); err != nil {
		return nil, err
	}
	for _, r := range slices.Concat(p.New, p.Stale) {
		if !plain(r.File) {
			return nil, fmt.Errorf("%q is no name of a file", r.File)
		}
	}
	return &p, nil
}
