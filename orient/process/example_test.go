package process_test

import (
	"fmt"
	"os"

	"kilnpoise/orient/process"
)

func ExampleMaterial_Oversize() {
	m := process.Material{Shrinkage: [3]float64{0.16, 0.16, 0.20}}
	fmt.Printf("%.4f\n", m.Oversize())
	fmt.Printf("%.2f\n", process.Percentages(m.Oversize()))
	// Output:
	// [1.1905 1.1905 1.2500]
	// [119.05 119.05 125.00]
}

func ExampleOpenLibrary() {
	lib := process.OpenLibrary(os.DirFS("../../assets/records"), "")
	m, err := lib.Materials.Get("316L")
	if err != nil {
		fmt.Println(err)
		return
	}
	low, high := m.DebindingHours(10)
	fmt.Printf("%s: a wall of 10 mm takes %.1f to %.1f h\n", m.Name, low, high)
	// Output:
	// 316L filament, 16/16/20: a wall of 10 mm takes 2.5 to 5.0 h
}
