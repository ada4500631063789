package render

import (
	"fmt"
	"image"

	"kilnpoise/orient/furnace"
)

// laidDown sets how the part is laid down in the furnace: both poses, in pictures
// so high, where another than that of the print is to be taken, and what to do on
// the setter.
func (l *layout) laidDown(y, high float64) (float64, error) {
	c := l.s.Chosen
	aside := "as printed"
	if c.RestsOtherwise() {
		aside = "not as printed: supports off in the green state, then laid down anew; shrinkage stays that of the print"
	}
	y = l.heading(l.x0(), y, l.across(), "Laying down in the furnace", aside)
	if c.RestsOtherwise() {
		var err error
		if y, err = l.poses(y+1, high); err != nil {
			return 0, err
		}
	}
	if r := c.Resting; r != nil {
		y = l.block(l.x0(), y, l.across(), trade(r.Reason), faceBody(), l.room.lines) + 0.6
	}
	return l.bullets(l.x0(), y, l.across(), l.s.Advice.LayingAdvice(c)), nil
}

// poses sets both poses side by side, each over its sag.
func (l *layout) poses(y, high float64) (float64, error) {
	r := l.s.Chosen.Resting
	words := []string{"As printed: " + poseText(&r.Poses[0]), capital(l.s.Chosen.LaidAs()) + ", as it is to be: " + poseText(r.Pose())}
	pictures := l.s.Pictures.Poses
	y, err := l.pair([]*image.RGBA{pictures[0].Image, pictures[1].Image}, words, y, high)
	if err != nil {
		return 0, err
	}
	under := y
	const between = 4
	half := (l.across() - between) / 2
	for i := range pictures {
		under = max(under, l.entries(pictures[i].Legend, l.x0()+float64(i)*(half+between), y-1, half))
	}
	return under + 0.8, nil
}

// poseText gives the figures of a pose.
func poseText(p *furnace.Pose) string {
	sag := "sag not known"
	switch {
	case p.TipAngleDeg() <= 0:
		return "does not stand by itself."
	case p.Sag != nil && p.Sag.Collapses:
		sag = "collapses"
	case p.Sag != nil:
		sag = fmt.Sprintf("sag %s to %s mm, likely %s", digitsOf(p.Sag.LowMM, 2), digitsOf(p.Sag.HighMM, 2), digitsOf(p.Sag.MM, 2))
	}
	return fmt.Sprintf("%s; tips at %s°, travel %s mm.", sag, digitsOf(p.TipAngleDeg(), 0), digitsOf(p.Stand.TravelMM, 1))
}
