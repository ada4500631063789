package mesh

import (
	"cmp"
	"slices"
)

// pileHeight is how often a facet may be stored before its copies are taken out
// ahead of everything else (judgement: no program means more than a few).
const pileHeight = 64

// dropPiles takes out the copies of facets that are stored over and over. Each
// would be a patch of its own, and a file of nothing else would take many times its
// size. One or two stay, whichever leaves an edge with an even number of facets
// where it had one, for dropDoubles to decide on.
func (r *mender) dropPiles() {
	if r.o.leaves(DropDoubles) {
		return
	}
	piled := r.m.piledFacets()
	drop, n := make([]bool, len(r.m.Facets)), 0
	for begin := 0; begin < len(piled); {
		end := begin + 1
		for end < len(piled) && compareFacets(r.m.Facets[piled[begin]], r.m.Facets[piled[end]]) == 0 {
			end++
		}
		if height := end - begin; height > pileHeight {
			n += markRest(piled[begin:end], 2-height%2, drop)
		}
		begin = end
	}
	if n == 0 {
		return
	}
	r.m.keep(func(i int) bool { return !drop[i] })
	r.health.Duplicates += n
	r.did(DropDoubles, n, 0, "%d copies of facets that are stored over and over taken out.", n)
}

// piledFacets lists the facets that may be stored so often, those with the same
// corners and facing side by side: each of their corners has as many facets.
func (m *Mesh) piledFacets() []int32 {
	uses := make([]int32, len(m.Vertices))
	for _, f := range m.Facets {
		for _, v := range f {
			uses[v]++
		}
	}
	var piled []int32
	for i, f := range m.Facets {
		if min(uses[f[0]], uses[f[1]], uses[f[2]]) > pileHeight {
			piled = append(piled, int32(i))
		}
	}
	slices.SortFunc(piled, func(a, b int32) int {
		return cmp.Or(compareFacets(m.Facets[a], m.Facets[b]), cmp.Compare(a, b))
	})
	return piled
}

// compareFacets orders facets by their corners, from the lowest on in their own
// direction: 0 for copies that face the same way.
func compareFacets(a, b [3]int32) int {
	a, b = fromLowest(a), fromLowest(b)
	return slices.Compare(a[:], b[:])
}

func fromLowest(f [3]int32) [3]int32 {
	switch min(f[0], f[1], f[2]) {
	case f[0]:
		return f
	case f[1]:
		return [3]int32{f[1], f[2], f[0]}
	}
	return [3]int32{f[2], f[0], f[1]}
}
