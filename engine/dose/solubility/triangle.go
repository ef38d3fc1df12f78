package solubility

import (
	"fmt"
	"html"
	"math"
	"sort"
	"strings"
)

// hull is the convex outline of points in the Teas triangle, in order.
func hull(ts []Teas) []Teas {
	ps := append([]Teas(nil), ts...)
	sort.Slice(ps, func(i, j int) bool {
		if ps[i].P != ps[j].P {
			return ps[i].P < ps[j].P
		}
		return ps[i].H < ps[j].H
	})
	half := func(ps []Teas) []Teas {
		var out []Teas
		for _, p := range ps {
			for len(out) >= 2 && side(out[len(out)-2], out[len(out)-1], p) <= 1e-9 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out
	}
	if len(ps) < 3 {
		return ps
	}
	lower := half(ps)
	for i, j := 0, len(ps)-1; i < j; i, j = i+1, j-1 {
		ps[i], ps[j] = ps[j], ps[i]
	}
	upper := half(ps)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

func side(a, b, c Teas) float64 { return (b.P-a.P)*(c.H-a.H) - (b.H-a.H)*(c.P-a.P) }

// InHull says whether a point lies in the region of the dissolving liquids.
// With fewer than three of them that region is a line or a dot.
func (f Fit) InHull(t Teas) bool {
	switch n := len(f.Hull); n {
	case 0:
		return false
	case 1:
		return math.Hypot(t.P-f.Hull[0].P, t.H-f.Hull[0].H) < 1e-6
	case 2:
		a, b := f.Hull[0], f.Hull[1]
		dot := (t.P-a.P)*(t.P-b.P) + (t.H-a.H)*(t.H-b.H)
		return math.Abs(side(a, b, t)) < 1e-6 && dot <= 0
	default:
		for i := range f.Hull {
			if side(f.Hull[i], f.Hull[(i+1)%n], t) < -1e-6 {
				return false
			}
		}
		return true
	}
}

// A Mark is a liquid to draw.
type Mark struct {
	Name     string
	Teas     Teas
	Standing Standing
}

// The drawing: an equilateral triangle, dispersion at the lower left, hydrogen
// bonding at the lower right, polar at the top.
const (
	left, foot, edge = 60.0, 420.0, 420.0
)

func place(t Teas) (x, y float64) {
	return left + edge*(t.H+t.P/2)/100, foot - edge*math.Sqrt(3)/2*t.P/100
}

// Triangle draws marks and region as a self-contained SVG. Marks differ in
// shape, not only in shade, and each carries a number that the key explains.
func (f Fit) Triangle(title string, marks []Mark) string {
	var b strings.Builder
	high := math.Max(470, 70+18*float64(len(marks)))
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 860 %.0f" role="img" font-family="sans-serif" font-size="12">`+"\n", high)
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>Teas triangle with %d liquids. Filled discs dissolved the ink, open squares did not, crosses are untested. The shaded outline joins the liquids that dissolved it.</desc>\n", html.EscapeString(title), len(marks))
	fmt.Fprintf(&b, `<rect width="860" height="%.0f" fill="#fff"/>`+"\n", high)
	grid(&b)
	if len(f.Hull) > 0 {
		b.WriteString(`<polygon fill="#d9d9d9" fill-opacity="0.7" stroke="#444" stroke-dasharray="4 3" points="`)
		for i, t := range f.Hull {
			x, y := place(t)
			if i > 0 {
				b.WriteByte(' ')
			}
			fmt.Fprintf(&b, "%.1f,%.1f", x, y)
		}
		b.WriteString("\"/>\n")
	}
	for i, m := range marks {
		x, y := place(m.Teas)
		b.WriteString(symbol(m.Standing, x, y))
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f">%d</text>`+"\n", x+7, y-5, i+1)
		ky := 40 + 18*float64(i)
		b.WriteString(symbol(m.Standing, 545, ky-4))
		fmt.Fprintf(&b, `<text x="560" y="%.0f">%d %s: %s</text>`+"\n", ky, i+1, html.EscapeString(m.Name), m.Standing)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

func grid(b *strings.Builder) {
	line := func(p, q Teas, w string) {
		x1, y1 := place(p)
		x2, y2 := place(q)
		fmt.Fprintf(b, `<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#999" stroke-width="%s"/>`+"\n", x1, y1, x2, y2, w)
	}
	for i := 0; i <= 9; i++ {
		v := 10 * float64(i)
		w := "0.4"
		if i == 0 {
			w = "1.2"
		}
		line(Teas{v, 0, 100 - v}, Teas{v, 100 - v, 0}, w)
		line(Teas{0, v, 100 - v}, Teas{100 - v, v, 0}, w)
		line(Teas{0, 100 - v, v}, Teas{100 - v, 0, v}, w)
	}
	b.WriteString(`<text x="20" y="440">dispersion 100 %</text>` + "\n")
	b.WriteString(`<text x="420" y="440">hydrogen bonding 100 %</text>` + "\n")
	b.WriteString(`<text x="235" y="48">polar 100 %</text>` + "\n")
}

func symbol(s Standing, x, y float64) string {
	switch s {
	case TestedDissolves:
		return fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="5" fill="#000"/>`, x, y)
	case TestedHeld:
		return fmt.Sprintf(`<rect x="%.1f" y="%.1f" width="9" height="9" fill="#fff" stroke="#000" stroke-width="1.5"/>`, x-4.5, y-4.5)
	default:
		return fmt.Sprintf(`<path d="M%.1f %.1fl8 8m0 -8l-8 8" stroke="#000"/>`, x-4, y-4)
	}
}
