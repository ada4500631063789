package headless

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// isJob tells a job file from a part by its name.
func isJob(path string) bool { return strings.EqualFold(filepath.Ext(path), job.Extension) }

// readJob reads the part out of a job file and the brief that was kept with it; the
// file is not claimed, and not changed. Marks that are not found are told.
func (o *Options) readJob(ctx context.Context, say *console) (*mesh.Part, *orient.Brief, error) {
	j, notes, err := job.ReadFile(ctx, o.Part)
	if err != nil {
		return nil, nil, err
	}
	say.notes(notes)
	if o.Unit != "" {
		j.Part.Unit = o.Unit
	}
	if o.Item > 0 {
		j.Part.Item = o.Item - 1
	}
	file, err := j.Part.Read(ctx)
	if err != nil {
		return nil, nil, err
	}
	part, err := j.Part.Make(ctx, file)
	if err != nil {
		return nil, nil, err
	}
	if err := j.Brief.Check(); err != nil {
		return nil, nil, oneLine(fmt.Errorf("%s: %w", filepath.Base(o.Part), err))
	}
	printableNames(&j.Brief.Marks)
	if err := withinReach(&j.Brief.Marks); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", filepath.Base(o.Part), err)
	}
	var found mark.Marks
	if !j.Brief.Marks.Empty() {
		var lost []*mark.Lost
		found, lost = j.Brief.Marks.Find(mark.NewSurface(part.Mesh))
		for _, l := range lost {
			say.line("A mark is not found on the part: %v", l)
		}
	}
	b := j.Brief.For(found)
	return part, &b, nil
}
