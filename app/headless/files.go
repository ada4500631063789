package headless

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
	"kilnpoise/render"
)

// adviceFile is the name of the JSON.
const adviceFile = "advice.json"

// pictureFile is the name of the picture of the candidate of that rank.
func pictureFile(rank int) string { return fmt.Sprintf("candidate-%02d.png", rank) }

// writeFiles writes the pictures, the mesh of the first candidate and its sheet into
// the stage. What was asked for beside them and could not be built is told in
// sentences.
func (out *outlet) writeFiles(ctx context.Context, a *orient.Advice, say *console) (findings []string, err error) {
	o := out.options
	for i := range a.Candidates {
		if err := out.writePicture(ctx, a, &a.Candidates[i]); err != nil {
			return nil, err
		}
		say.stage("drawing the candidates", float64(i+1)/float64(len(a.Candidates)))
	}
	order := handover.Order{Advice: a, Candidate: &a.Candidates[0], Context: ctx, Folder: out.set.Stage(), Name: out.name}
	if o.SinteredSize {
		order.Size = handover.Sintered
	}
	order.Bodies, findings = o.bodies(ctx, a, order.Candidate)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	say.notes(findings)
	if _, err := order.WriteBodies(); err != nil {
		return nil, err
	}
	threeMF, err := order.Write3MF()
	if err != nil {
		return nil, err
	}
	if _, err := order.WriteSTL(); err != nil {
		return nil, err
	}
	paper := render.A4
	if o.Letter {
		paper = render.Letter
	}
	_, err = order.WriteSheet(ctx, paper, time.Now(), threeMF)
	return findings, err
}

// bodies builds the supports and blocks that are planned and the raft, as asked for.
// What cannot be built is left out and told in a sentence.
func (o *Options) bodies(ctx context.Context, a *orient.Advice, c *orient.Candidate) (built []support.Body, findings []string) {
	none := func(int) bool { return true }
	build := func(supports, raft bool) ([]support.Body, error) {
		if supports {
			return a.Bodies(ctx, c, raft, nil)
		}
		return a.Bodies(ctx, c, raft, none)
	}
	if !o.Bodies && !o.Raft {
		return nil, nil
	}
	all, err := build(o.Bodies, o.Raft)
	if err == nil {
		return all, nil
	}
	if o.Bodies {
		if built, err = build(true, false); err != nil {
			findings = append(findings, leftOut("The planned support", err))
		}
	}
	if o.Raft {
		// A raft below supports that could not be built stands for itself.
		alone, err := build(o.Bodies && built != nil, true)
		if err != nil {
			return built, append(findings, leftOut("The raft", err))
		}
		built = alone
	}
	return built, findings
}

// The size of the pictures of the candidates, pixels.
const pictureWidth, pictureHeight = 960, 720

// writePicture draws one candidate on the plate with its legend.
func (out *outlet) writePicture(ctx context.Context, a *orient.Advice, c *orient.Candidate) error {
	detail, err := a.Detail(ctx, c)
	if err != nil {
		return err
	}
	picture, err := handover.Picture(ctx, detail, &a.Brief, pictureWidth, pictureHeight)
	if err != nil {
		return err
	}
	return mesh.WriteFileWhole(filepath.Join(out.set.Stage(), pictureFile(c.Rank)), picture.Write)
}

// leftOut is the sentence for what could not be built.
func leftOut(what string, err error) string {
	return fmt.Sprintf("%s could not be built and is not among the files: %s.", what, strings.TrimPrefix(err.Error(), "support: "))
}
