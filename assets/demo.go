package assets

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"slices"
)

// Demo is one of the built-in parts, at its finished size. As loaded each stands
// as its drawing or its place in the pump has it, which is seldom the best way to
// print it.
type Demo struct {
	// ID is stable and fit for a file name; Title is what a list shows.
	ID, Title string
	// Story says in a few sentences what the part is and what to look for.
	Story string
	// File is the name of its mesh in Parts.
	File string
}

// Mesh gives the bytes of the part's binary STL file, in millimetres.
func (d Demo) Mesh() ([]byte, error) { return fs.ReadFile(Parts(), d.File) }

// DefaultPart is the part that the window opens with.
func DefaultPart() Demo { return DemoParts()[0] }

// PartNamed gives the built-in part of that ID.
func PartNamed(id string) (d Demo, ok bool) {
	i := slices.IndexFunc(DemoParts(), func(d Demo) bool { return d.ID == id })
	if i < 0 {
		return Demo{}, false
	}
	return DemoParts()[i], true
}

// CouponID is the ID of the creep coupon among DemoParts.
const CouponID = "creep-coupon"

// CouponSpansMM gives the free lengths of the coupon's arms, sintered.
func CouponSpansMM() []float64 { return []float64{7, 8, 10, 12, 16, 20} }

// CouponThicknessMM is how thick the arms are.
const CouponThicknessMM = 3

// IsCoupon reports whether a file of that SHA-256, in hex, is the creep coupon.
func IsCoupon(sum string) bool {
	coupon, ok := PartNamed(CouponID)
	if !ok {
		return false
	}
	data, err := coupon.Mesh()
	is := sha256.Sum256(data)
	return err == nil && hex.EncodeToString(is[:]) == sum
}

// DemoParts lists the built-in parts, the default one first and the creep coupon
// last. The village and its pump are made up.
func DemoParts() []Demo {
	return []Demo{
		demo("handle-bracket", "Handle bracket",
			"Bolts to the head of the village pump and carries the pivot of the handle on a long arm. "+
				"It loads as it stands on the pump, with the arm in the air: much support, and an arm that "+
				"droops in the furnace. One side is flat from the flange to the eye."),
		demo("gland-follower", "Gland follower",
			"Presses the packing around the pump rod. It loads with the spigot down and the flange in "+
				"the air; turned over it needs no support at all."),
		demo("rod-clevis", "Rod clevis",
			"Joins the pump rod to the handle. It loads standing on its shank, tall on a small foot; "+
				"its flat sides ask it to lie down."),
		demo("check-poppet", "Check-valve poppet",
			"Drops on its seat when the stroke turns. A drawing made it hollow to save weight and gave the "+
				"void no way out: whatever way up, support, binder and gas stay inside. A hole into "+
				"the void, or two halves, would make it a part that can be made."),
		demo("foot-valve-stem", "Foot-valve stem",
			"The mushroom that holds the water in the suction pipe. Slender: it loads lying, as on a "+
				"lathe, needs hardly any support when it stands on its head, and then has to stay upright "+
				"in the furnace."),
		demo("flap-valve", "Delivery flap",
			"The hinged door of the delivery valve, wide and flat. It loads with the seat up and the "+
				"ribs down, so that the whole plate hangs in the air."),
		demo(CouponID, "Creep coupon",
			"Six cantilevers of 7 to 20 mm, 3 mm thick, on one block. Print and fire it as it is loaded, on its "+
				"foot, the arms level; take the supports under the arms out in the green state; measure how far the tip of "+
				"each has come down against its root, on the top face. The longest may collapse and the shortest hardly sag: "+
				"whatever the material, three of them tell."),
	}
}

func demo(id, title, story string) Demo {
	return Demo{ID: id, Title: title, Story: story, File: id + ".stl"}
}
