package dose

import (
	"errors"
	"fmt"

	"tideline/engine/dose/colour"
	"tideline/engine/dose/photo"
)

// A PictureKind says what a picture is measured for.
type PictureKind string

// StainingPicture grades colour that came off onto a white swab or blotter;
// ChangePicture grades a place before against after.
const (
	StainingPicture PictureKind = "staining"
	ChangePicture   PictureKind = "change"
)

// A PictureRequest asks for a measurement from pictures.
type PictureRequest struct {
	Kind      PictureKind
	Reference photo.Shot  // the clean swab, or before
	Clean     photo.Place // on Reference
	Sample    photo.Shot  // the stained swab, or after; no Data: the same picture
	Place     photo.Place // on the sample
	Map       bool        // draw the false-colour picture
	Line      *TidelinePlaces
}

// TidelinePlaces are a place along a tideline and one on either side of it, the
// same on both pictures.
type TidelinePlaces struct{ Line, Inner, Outer photo.Place }

// MeasureName and MeasureSays describe [MeasurePicture] beside the table of
// computations; it takes pictures, not texts, and so isn't one of them.
const (
	MeasureName = "measure"
	MeasureSays = "grade and difference from photographs with a reference patch"
)

// MeasurePicture grades from photographs. Each picture's SHA-256 is among the
// values, so that the grade can be traced to the very file.
func MeasurePicture(req PictureRequest) (Result, error) {
	r := Result{Name: MeasureName, Says: MeasureSays}
	if req.Kind != StainingPicture && req.Kind != ChangePicture {
		return r, &Refusal{What: Unknown, Computation: MeasureName, Input: "kind", Given: string(req.Kind), Why: "it is not a kind of measurement", Help: "Use one of the known ones.", Known: []string{string(StainingPicture), string(ChangePicture)}}
	}
	ref, err := req.Reference.Open()
	if err != nil {
		return r, pictureRefusal(err)
	}
	sample := ref
	if req.Sample.Data != nil {
		if sample, err = req.Sample.Open(); err != nil {
			return r, pictureRefusal(err)
		}
	}
	c, err := photo.Compare(ref, req.Clean, sample, req.Place)
	if err != nil {
		return r, pictureRefusal(err)
	}
	if req.Kind == StainingPicture && c.Reference.L < 80 {
		return r, pictureRefusal(&photo.Unfit{Where: ref.Name + ", clean place", Why: fmt.Sprintf("it has L* %.1f, and staining is graded on white (L* 80 and more)", c.Reference.L), Do: "Show the clean white of the swab or blotter, and check the patch's known value."})
	}
	r.Range = "places evenly lit and not clipped; sRGB or linear; not a colour measurement by instrument"
	r.shot("reference", ref)
	if sample != ref {
		r.shot("sample", sample)
	}
	r.compared(req.Kind, c)
	if err := r.pictures(req, ref, sample, c); err != nil {
		return r, pictureRefusal(err)
	}
	r.caution("One patch corrects exposure and cast, not the camera's own colours: compare pictures of one camera, lamp and setting, and confirm a grade that decides by eye against a grey scale.")
	if ref.Patches == 1 {
		r.caution("With one patch, uneven light between the patch and the place doesn't show: lay patches on two sides.")
	}
	return r, nil
}

func pictureRefusal(err error) error {
	var u *photo.Unfit
	if errors.As(err, &u) {
		return &Refusal{What: BadPicture, Computation: MeasureName, Input: u.Where, Why: u.Why, Help: u.Do}
	}
	return err
}

// shot adds what was read from one picture.
func (r *Result) shot(which string, c *photo.Corrected) {
	r.words(which+"_sha256", "SHA-256 of the "+which+" picture", c.SHA256, Arithmetic)
	r.words(which+"_size", "upright size of the "+which+" picture", fmt.Sprintf("%d x %d px, orientation %d undone", c.Width, c.Height, c.Orientation), Arithmetic)
	r.line("srgb", "gain = known/seen, per channel in linear light", Quantity{Value: c.Gain.G, Unit: plain}, "", "%s: red %s, green %s, blue %s from %d patch(es)", c.Name, num(c.Gain.R), num(c.Gain.G), num(c.Gain.B), c.Patches)
	r.value(which+"_patch_left", "difference left on the worst patch after correction", of(c.PatchDE, LabKind, "ΔE"), Computed)
	if !c.Profiled {
		r.caution("%s doesn't say that it is sRGB; it was read as told. Another colour space gives other grades.", c.Name)
	}
}

// compared adds differences, their uncertainty and the grade.
func (r *Result) compared(kind PictureKind, c photo.Comparison) {
	r.differences(c.Reference, c.Sample)
	u := Quantity{c.DE76, unit(LabKind, "ΔE"), c.Uncertainty}
	r.line("cie-lab", "uncertainty from the scatter of both places and the patches, k = 2", u, "", "%s", u)
	r.value("de76_uncertain", "CIE 1976 with its uncertainty (k = 2)", u, Computed)
	r.value("spread", "how patchy the place is: standard deviation of ΔE between its blocks", of(c.Spread, LabKind, "ΔE"), Computed)
	at := func(de float64) float64 {
		f := 0.0
		if c.DE76 > 0 {
			f = max(0, de) / c.DE76
		}
		if kind == StainingPicture {
			_, rating := colour.StainingFrom(c.DE76*f, (c.Sample.L-c.Reference.L)*f)
			return rating
		}
		deF, _ := colour.Change(c.Reference, c.Sample)
		return colour.ChangeRating(deF * f)
	}
	if kind == StainingPicture {
		r.gradeStaining(c.Reference, c.Sample)
	} else {
		r.gradeChange(c.Reference, c.Sample)
	}
	worst, best := colour.ToHalfStep(at(c.DE76+c.Uncertainty)), colour.ToHalfStep(at(c.DE76-c.Uncertainty))
	r.value("grade_worst", "lowest grade within the uncertainty: "+worst.String(), of(float64(worst), GradeKind, "grade"), Mixed)
	r.value("grade_best", "highest grade within the uncertainty: "+best.String(), of(float64(best), GradeKind, "grade"), Mixed)
	if worst != best {
		r.caution("Within its uncertainty the grade lies from %s to %s: take the lower, or a better picture.", worst, best)
	}
	if c.Spread > 2 && c.Spread > c.DE76/4 {
		r.caution("The place is patchy (ΔE varies by %s between its blocks): the mean hides the worst spot; measure that by itself.", num(c.Spread))
	}
	if c.SampleClipped > 0 {
		r.caution("%s %% of the place's pixels are clipped, under the limit but not none.", num(100*c.SampleClipped))
	}
}

// pictures adds the false-colour map and the tideline contrast.
func (r *Result) pictures(req PictureRequest, ref, sample *photo.Corrected, c photo.Comparison) error {
	if req.Map {
		before := ref
		if sample == ref || req.Kind == StainingPicture {
			before = nil
		}
		data, err := photo.Map(before, sample, c.Reference)
		if err != nil {
			return err
		}
		r.Pictures = append(r.Pictures, Picture{"difference", "image/png", data})
		t := Table{Title: "false colours", Columns: []string{"ΔE (1976)", "red, green, blue"}}
		for _, s := range photo.Legend() {
			t.Rows = append(t.Rows, []string{num(s.DE76), fmt.Sprintf("%d, %d, %d", s.RGB[0], s.RGB[1], s.RGB[2])})
		}
		t.Rows = append(t.Rows, []string{"clipped", "128, 128, 128"})
		r.Tables = append(r.Tables, t)
		if before != nil {
			r.caution("The two pictures aren't moved into register: what shifted between them shows as a difference.")
		}
	}
	if req.Line == nil {
		return nil
	}
	b, err := photo.Contrast(ref, req.Line.Line, req.Line.Inner, req.Line.Outer)
	if err != nil {
		return err
	}
	r.tideline("before", b)
	if sample == ref {
		return nil
	}
	a, err := photo.Contrast(sample, req.Line.Line, req.Line.Inner, req.Line.Outer)
	if err != nil {
		return err
	}
	r.tideline("after", a)
	if b.DE2000 > 0 {
		r.value("tideline_left", "contrast left of what there was", of(100*a.DE2000/b.DE2000, Fraction, "%"), Computed)
	}
	return nil
}

func (r *Result) tideline(when string, t photo.Tideline) {
	r.line("ciede2000", "line against the mean of its two sides", of(t.DE2000, LabKind, "ΔE"), "", "%s: %v against %v", when, t.Line, t.Sides)
	r.value("tideline_"+when, "contrast of the tideline, CIEDE2000, "+when, of(t.DE2000, LabKind, "ΔE"), Computed)
}
