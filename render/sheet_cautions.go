package render

// cautions sets the usual cautions of the trade in two columns on a shaded
// ground. No recipe: the sheet names hazards and sends the reader on.
func (l *layout) cautions(y float64) float64 {
	x, width := l.x0(), l.across()
	const pad, between = 2.0, 5.0
	w := (width - 2*pad - between) / 2
	f := faceBody()
	f.pt = 7.2
	f.ink = rgb(inkText)
	columns := [2][]string{generalCautions(), hazardCautions()}
	high := 0.0
	for _, c := range columns {
		h := 0.0
		for _, s := range c {
			h += float64(len(l.wrap(s, w, f, 0)))*l.line(f) + 0.5
		}
		high = max(high, h)
	}
	head := l.line(faceHead())
	total := head + high + 2*pad
	l.shade(x, y, width, total, rgb(0xF4F1EC))
	l.box(x, y, width, total, 0.3, inkText)
	l.left(x+pad, y+head+0.4, "Cautions", faceHead())
	for i, c := range columns {
		at := y + head + pad
		for _, s := range c {
			at = l.block(x+pad+float64(i)*(w+between), at, w, s, f, 0) + 0.5
		}
	}
	return y + total
}

// generalCautions say who does the work and by what.
func generalCautions() []string {
	return []string{
		"Debinding and sintering are done only in purpose-built, interlocked equipment by trained people, following the material's safety data sheet, " +
			"the equipment maker's manual, local codes and licensed practice. This sheet gives no furnace programme and no acid recipe.",
		"Standards to know: NFPA 86, EN 746-3; ISO 13577 and NFPA 484 (the last two named from memory).",
		"Furnaces and setters are heavy and stay hot for long: lift with a second person or a hoist, open only when the maker's manual allows.",
	}
}

// hazardCautions name what can hurt.
func hazardCautions() []string {
	return []string{
		"Nitric acid: burns, feeds fire. Formaldehyde: causes cancer; the exhaust must be burnt. Nitrogen oxides: injury to the lungs can come hours later.",
		"Hydrogen: burns in air from 4 to 75 %, with a flame that cannot be seen. Nitrogen and argon: suffocate without warning.",
		"Fine steel dust from sanding or cutting green, brown or sintered parts: can explode, and its nickel makes the skin and lungs allergic. " +
			"Extract it at the tool, keep it from sparks, wear what the safety data sheet asks for.",
	}
}
