package draw

import (
	"math"
	"strings"

	"example.org/headwatch/internal/ui/palette"
)

// Bar draws how much of a limit is used up, in width cells with the two ends.
// It says nothing by itself: number and word stand beside it.
func (p Pen) Bar(value, limit float64, width int) string {
	cells := width - 2
	if cells <= 0 {
		return blank(width)
	}
	share := value / limit
	if math.IsNaN(share) || share < 0 || limit <= 0 {
		share = 0
	}
	eighths := int(math.Round(min(share, 1) * float64(8*cells)))
	body := strings.Repeat(palette.BarFull, eighths/8)
	if eighths/8 < cells {
		body += palette.BarParts[eighths%8] + blank(cells-eighths/8-1)
	}
	return p.Text(palette.BarEnd + body + palette.BarEnd)
}
