package report

// The targets of a marking sheet, in mm. A real ballot has them elsewhere: what counts is the choice
// beside the target.
const (
	targetWidth, targetHeight = 6.0, 3.2
	untouched                 = " "
)

// target draws the target of a choice around y: an oval that is empty, filled, or holds the rank or the
// number of votes to be marked.
func (p *page) target(x, y float64, mark string) {
	f := p.f
	f.SetDrawColor(black[0], black[1], black[2])
	f.SetFillColor(black[0], black[1], black[2])
	f.SetLineWidth(0.25)
	style := "D"
	if mark == "1" {
		style = "FD"
	}
	f.Ellipse(x+targetWidth/2, y, targetWidth/2, targetHeight/2, 0, style)
	if mark != "1" && mark != untouched {
		w := sansBold.width(mark, smallSize*point)
		p.text(x+(targetWidth-w)/2, y+smallSize*point*0.35, smallSize, sansBold, mark)
	}
}
