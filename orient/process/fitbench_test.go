package process

import (
	"context"
	"math/rand/v2"
	"testing"
)

// Ten thousand readings of 1 250 firings, alone and with drift and outliers.
func BenchmarkFit10000(b *testing.B) {
	s := usualShop()
	s.firings = 1250
	readings := s.fire(rand.New(rand.NewPCG(61, 62)))
	for name, plain := range map[string]bool{"plain": true, "whole": false} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := FitShrinkage(context.Background(), readings, FitOptions{Plain: plain}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
