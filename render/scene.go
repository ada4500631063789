package render

import (
	"context"
	"image"

	"kilnpoise/orient"
)

// Scene is one candidate on one machine, ready to be drawn. It is never changed
// after NewScene and may be used by several goroutines at once.
type Scene struct{}

// NewScene prepares the part of d on the stage. It keeps no hold on d but for
// the mesh, which must not be changed afterwards.
func NewScene(d *orient.Detail, stage Stage) *Scene { return &Scene{} }

// Frame draws the scene. When ctx ends before the picture is done the result is
// nil. The image is new and belongs to the caller.
func (s *Scene) Frame(ctx context.Context, shot Shot) *image.RGBA { return nil }

// FitMMPerPixel is the scale at which the part fills a picture of the size of
// the shot at zoom 1, with room around it. It does not change with the yaw of
// the camera.
func (s *Scene) FitMMPerPixel(shot Shot) float64 { return 1 }

// CommonScale is the scale, for Shot.MMPerPixel, at which each scene fits a
// picture of the size of the shot.
func CommonScale(shot Shot, scenes ...*Scene) float64 { return 1 }

// MMPerPixel is the scale that the shot is drawn at: of the shot or, when it
// leaves that open, fitting; divided by the zoom. Use it to turn a drag in
// pixels into a pan in millimetres.
func (s *Scene) MMPerPixel(shot Shot) float64 { return 1 }
