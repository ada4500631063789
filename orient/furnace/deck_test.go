package furnace

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// The independent check: CalculiX (package calculix-ccx), brick C3D8I, on the
// very grids of this solver. The results are kept in testdata; with
//
//	go test ./orient/furnace -run ^TestCalculiX$ -calculix DIR
//
// the input decks are written to DIR, solved by the program ccx, and the kept
// results made anew. Without the flag the program is not needed.
var calculix = flag.String("calculix", "", "directory to write CalculiX decks to and solve them in")

// checked is one geometry of the comparison.
type checked struct {
	name     string
	mesh     func() *mesh.Mesh
	pitch    float64
	friction float64
	props    []Prop
}

func checkedParts() []checked {
	box := func(x0, y0, z0, x1, y1, z1 float64) *mesh.Mesh {
		return boxMesh(r3.Vec{X: x0, Y: y0, Z: z0}, r3.Vec{X: x1, Y: y1, Z: z1})
	}
	union := func(ms ...*mesh.Mesh) *mesh.Mesh {
		out := &mesh.Mesh{}
		for _, m := range ms {
			out.Append(m)
		}
		return out
	}
	blocks := []Prop{
		BoxProp(r3.Vec{X: -1, Y: -1}, r3.Vec{X: 3, Y: 31, Z: 5}, 0),
		BoxProp(r3.Vec{X: 27, Y: -1}, r3.Vec{X: 31, Y: 31, Z: 5}, 0),
	}
	ceramic := BoxProp(r3.Vec{X: 27}, r3.Vec{X: 31, Y: 6, Z: 12}, 0)
	ceramic.Friction = DefaultFriction
	return []checked{
		{"arm on a block", func() *mesh.Mesh { return union(box(0, 0, 0, 10, 6, 12), box(0, 0, 10, 22, 6, 12)) }, 0.5, 0, nil},
		{"table with sliding legs", func() *mesh.Mesh {
			return union(box(0, 0, 0, 3, 12, 15), box(27, 0, 0, 30, 12, 15), box(0, 0, 15, 30, 12, 17))
		}, 0.5, 0, nil},
		{"table with stuck legs", func() *mesh.Mesh {
			return union(box(0, 0, 0, 3, 12, 15), box(27, 0, 0, 30, 12, 15), box(0, 0, 15, 30, 12, 17))
		}, 0.5, Stuck, nil},
		{"plate on two ceramic blocks", func() *mesh.Mesh { return box(0, 0, 5, 30, 30, 7) }, 2.0 / 3, 0, blocks},
		{"slanting arm, cut bricks", func() *mesh.Mesh {
			arm := box(-4, 0, -1, 16, 6, 1).Transform(mesh.RotationAbout(r3.Vec{Y: -1}, math.Pi/6), r3.Vec{X: 10, Z: 8})
			return union(box(0, 0, 0, 16, 6, 9), arm)
		}, 0.6, 0, nil},
		{"bridge with a strut", func() *mesh.Mesh {
			return union(box(0, 0, 0, 4, 10, 14), box(36, 0, 0, 40, 10, 14), box(0, 0, 12, 40, 10, 14))
		}, 0.5, 0, []Prop{BoxProp(r3.Vec{X: 16, Y: 2}, r3.Vec{X: 22, Y: 8, Z: 12}, 0.2)}},
		{"arm on a ceramic block", func() *mesh.Mesh { return union(box(0, 0, 0, 10, 6, 14), box(0, 0, 12, 34, 6, 14)) }, 0.5, 0, []Prop{ceramic}},
		{"table with a raft", func() *mesh.Mesh {
			return union(box(0, 0, 1, 3, 12, 16), box(27, 0, 1, 30, 12, 16), box(0, 0, 16, 30, 12, 18))
		}, 0.5, 0, []Prop{BoxProp(r3.Vec{X: -2, Y: -2}, r3.Vec{X: 32, Y: 14, Z: 1}, 1)}},
		{"ring on edge", func() *mesh.Mesh {
			return ring(7, 10, 6, 96).Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/2), r3.Vec{Z: 10})
		}, 0.6, 0, nil},
	}
}

// ring is a pipe about z of the given radii and height.
func ring(inner, outer, h float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for j := range n {
		s, c := math.Sincos(2 * math.Pi * (float64(j) + 0.5) / float64(n))
		for _, p := range [4][2]float64{{inner, 0}, {outer, 0}, {outer, h}, {inner, h}} {
			m.Vertices = append(m.Vertices, r3.Vec{X: p[0] * c, Y: p[0] * s, Z: p[1]})
		}
	}
	for j := range n {
		p, q := int32(4*j), int32(4*((j+1)%n))
		for k := range int32(4) {
			l := (k + 1) % 4
			m.Facets = append(m.Facets, [3]int32{p + k, q + k, q + l}, [3]int32{p + k, q + l, p + l})
		}
	}
	return m
}

// model gives the filled grid of a part.
func (c checked) model(t *testing.T) *model {
	t.Helper()
	m := c.mesh()
	w, err := Options{Props: c.props, Friction: c.friction}.prepare(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	md, err := newModel(context.Background(), m, c.props, w.lattice(c.pitch), w.wall)
	if err != nil {
		t.Fatal(err)
	}
	return md
}

// solved gives the settled contact of a part.
func (c checked) solved(t *testing.T) *contact {
	t.Helper()
	s, err := newSystem(c.model(t), DefaultCreep().Poisson, newCrew(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	touch := newContact(s, c.friction)
	if _, err := touch.settle(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	touch.steady()
	return touch
}

// TestCalculiX compares the downward displacement at its largest and at nodes
// spread over the part.
func TestCalculiX(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	path := filepath.Join("..", "..", "testdata", "furnace", "calculix.csv")
	if *calculix != "" {
		makeCalculiX(t, path)
	}
	kept := readTable(t, path)
	for _, c := range checkedParts() {
		t.Run(c.name, func(t *testing.T) {
			touch := c.solved(t)
			down := touch.downs()
			most := 0
			for n := range down {
				if down[n] > down[most] {
					most = n
				}
			}
			compare := func(what string, got float64) {
				want, ok := kept[c.name+","+what]
				if !ok || math.Abs(got-want) > 0.02*math.Abs(want)+1e-4*down[most] {
					t.Errorf("%s = %.6g mm, CalculiX has %.6g", what, got, want)
				}
			}
			compare("largest", down[most])
			for i := range probes {
				n := i * (len(down) - 1) / (probes - 1)
				compare(fmt.Sprintf("node %d", n+1), down[n])
			}
			t.Logf("%d bricks, largest %.5f mm, CalculiX %.5f", len(touch.mg.levels[0].nodes), down[most], kept[c.name+",largest"])
		})
	}
}

// probes is the number of nodes compared apart from the largest.
const probes = 9

// downs gives the downward displacement of every node with the default creep.
func (c *contact) downs() []float64 {
	out := make([]float64, len(c.mg.levels[0].place))
	for n := range out {
		out[n] = -c.vector(c.x, int32(n)).Z * DefaultCreep().sink()
	}
	return out
}

// makeCalculiX writes the decks, has them solved and keeps what came out.
func makeCalculiX(t *testing.T, path string) {
	t.Helper()
	version, err := exec.Command("ccx", "-v").CombinedOutput()
	if err != nil && len(version) == 0 {
		t.Fatalf("the program ccx is wanted: %v", err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Downward displacement, mm, by CalculiX: %s, element C3D8I,\n", strings.TrimSpace(string(version)))
	fmt.Fprintf(&b, "# on the grids of this solver; made by: go test ./orient/furnace -run CalculiX -calculix DIR\n")
	fmt.Fprintf(&b, "# J 1.5e-6 1/Pa, Poisson 0.45, 7000 kg/m3, 9.80665 m/s2\n")
	fmt.Fprintln(&b, "part,place,down_mm")
	for i, c := range checkedParts() {
		touch := c.solved(t)
		name := filepath.Join(*calculix, fmt.Sprintf("part%d", i+1))
		if err := os.WriteFile(name+".inp", []byte(touch.deck()), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("ccx", name).CombinedOutput(); err != nil {
			t.Fatalf("ccx %s: %v\n%s", name, err, out)
		}
		down := readDownward(t, name+".dat", len(touch.mg.levels[0].place))
		most := down[0]
		for _, d := range down {
			most = max(most, d)
		}
		fmt.Fprintf(&b, "%q,largest,%.6e\n", c.name, most)
		for i := range probes {
			n := i * (len(down) - 1) / (probes - 1)
			fmt.Fprintf(&b, "%q,node %d,%.6e\n", c.name, n+1, down[n])
		}
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// deck writes the equations as a CalculiX input deck: mm, N, MPa, tonnes. Every
// stiffness among the bricks is a material; the carried feet are held.
func (c *contact) deck() string {
	g := c.mg.levels[0].grid
	var b strings.Builder
	fmt.Fprintln(&b, "*NODE, NSET=ALL")
	for n := range int32(len(g.place)) {
		p := c.position(n)
		fmt.Fprintf(&b, "%d, %.10g, %.10g, %.10g\n", n+1, p.X, p.Y, p.Z)
	}
	materials := map[float32]int{}
	bricks := [][]int{}
	for i, f := range g.factor {
		if _, ok := materials[f]; !ok {
			materials[f] = len(bricks)
			bricks = append(bricks, nil)
		}
		bricks[materials[f]] = append(bricks[materials[f]], i)
	}
	creep := DefaultCreep()
	load := c.block(c.model.load)
	for m, list := range bricks {
		fmt.Fprintf(&b, "*ELEMENT, TYPE=C3D8I, ELSET=E%d\n", m)
		for _, i := range list {
			fmt.Fprintf(&b, "%d", i+1)
			for _, n := range c.rightHanded(g.nodes[i]) {
				fmt.Fprintf(&b, ", %d", n+1)
			}
			fmt.Fprintln(&b)
		}
	}
	for m, list := range bricks {
		f := float64(g.factor[list[0]])
		p := g.cell[list[0]]
		weight := float64(load.at(int(p[0]), int(p[1]), int(p[2])))
		fmt.Fprintf(&b, "*MATERIAL, NAME=M%d\n*ELASTIC\n%.10g, %.10g\n*DENSITY\n%.10g\n*SOLID SECTION, ELSET=E%d, MATERIAL=M%d\n",
			m, f*1e-6/creep.CompliancePerPa, creep.Poisson, weight*creep.DensityKGM3*1e-12, m, m)
	}
	fmt.Fprintln(&b, "*STEP\n*STATIC\n*BOUNDARY")
	c.boundary(&b)
	fmt.Fprintln(&b, "*DLOAD")
	for m := range bricks {
		fmt.Fprintf(&b, "E%d, GRAV, %.10g, 0, 0, -1\n", m, gravity*1e3)
	}
	c.dragged(&b)
	fmt.Fprintln(&b, "*NODE PRINT, NSET=ALL\nU\n*END STEP")
	return b.String()
}

// dragged puts on what ceramic drags at, N.
func (c *contact) dragged(b *strings.Builder) {
	if c.pull == nil {
		return
	}
	newton := DefaultCreep().DensityKGM3 * gravity * 1e-9 // of a mm3
	fmt.Fprintln(b, "*CLOAD")
	for n := range int32(len(c.mg.levels[0].place)) {
		for k, v := range [3]float64{c.vector(c.pull, n).X, c.vector(c.pull, n).Y, c.vector(c.pull, n).Z} {
			if v != 0 {
				fmt.Fprintf(b, "%d, %d, %.10g\n", n+1, k+1, v*newton)
			}
		}
	}
}

// boundary holds the carried feet, and where they slide freely three of their
// level displacements, which strains nothing.
func (c *contact) boundary(b *strings.Builder) {
	var first, far int32 = -1, -1
	for i, foot := range c.feet {
		if c.lifted[i] {
			continue
		}
		n := foot.node
		last := 3
		if c.friction == 0 {
			fmt.Fprintf(b, "%d, 3, 3\n", n+1)
			if first < 0 {
				first = n
			}
			if far < 0 || c.position(n).X > c.position(far).X {
				far = n
			}
			continue
		}
		fmt.Fprintf(b, "%d, 1, %d\n", n+1, last)
	}
	if first >= 0 {
		fmt.Fprintf(b, "%d, 1, 2\n%d, 2, 2\n", first+1, far+1)
	}
}

// rightHanded gives the corners of a brick in the order of CalculiX: the lower
// face counter-clockwise seen from above, then the upper one.
func (c *contact) rightHanded(nodes [corners]int32) [corners]int32 {
	var byLattice [corners]int32
	for n := range corners {
		m := 0
		for a, o := range c.order {
			m |= n >> a & 1 << o
		}
		byLattice[m] = nodes[n]
	}
	return [corners]int32{byLattice[0], byLattice[1], byLattice[3], byLattice[2], byLattice[4], byLattice[5], byLattice[7], byLattice[6]}
}

// readDownward reads the displacements from a result file.
func readDownward(t *testing.T, path string, nodes int) []float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	down := make([]float64, nodes)
	seen := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		w := strings.Fields(s.Text())
		if len(w) != 4 {
			continue
		}
		n, err := strconv.Atoi(w[0])
		z, err2 := strconv.ParseFloat(w[3], 64)
		if err == nil && err2 == nil {
			down[n-1] = -z
			seen++
		}
	}
	if seen != nodes {
		t.Fatalf("%s has %d of %d nodes", path, seen, nodes)
	}
	return down
}
