package reliability

import (
	"math"

	"fairlead/analytics/volume"
)

// visits are the occasions of a study as single figures: y = ½ ln V, the girth
// of the visit as a whole, by block and fitter.
type visits struct {
	sample
	fitters []string
	tape    float64 // mean variance of y by reading and placing
	visit   float64 // mean variance of y by what was expected of landmark and bias
	fit     additive
	ok      bool // the fit has degrees of freedom left
}

// newVisits works the figures out, with the variances that the volume's error
// model gives.
func newVisits(blocks []block, readingMM, levelMM float64, before volume.Sigmas) (visits, error) {
	var v visits
	var fitters index[string]
	tape := volume.Sigmas{ReadingMM: readingMM, LevelMM: levelMM}
	whole := volume.Sigmas{LandmarkMM: before.LandmarkMM, BiasSameFitter: before.BiasSameFitter}
	for i, b := range blocks {
		for j, o := range b.occasions {
			byTape, err := volume.Measure(b.profiles[j], tape)
			if err != nil {
				return visits{}, err
			}
			byVisit, err := volume.Measure(b.profiles[j], whole)
			if err != nil {
				return visits{}, err
			}
			v.cells = append(v.cells, cell{i, fitters.number(o.fitter), math.Log(byTape.VolumeML) / 2})
			v.tape += square(byTape.UML / (2 * byTape.VolumeML))
			v.visit += square(byVisit.UML / (2 * byVisit.VolumeML))
		}
	}
	if n := float64(len(v.cells)); n > 0 {
		v.tape, v.visit = v.tape/n, v.visit/n
	}
	v.subjects, v.columns, v.fitters = len(blocks), len(fitters.keys), fitters.keys
	v.setFloor()
	if v.columns > 0 {
		v.fit, v.ok = v.fitAdditive()
	}
	v.ok = v.ok && v.fit.errorDF > 0
	return v, nil
}

func square(x float64) float64 { return x * x }

// visitError finds by how much visits of the same limb differ as a whole, beyond
// reading, placing and what lasts between fitters. Where the limbs' shapes tell
// landmark and bias apart (apart), each is drawn by its own; otherwise both are
// moved by the one factor by which the volumes of visits differ from what was
// expected of them.
func (e *Estimate) visitError(blocks []block, v visits, prior Prior) {
	landmark, bias := prior.Sigmas.LandmarkMM, prior.Sigmas.BiasSameFitter
	if shift, scale, ok := e.apart(blocks, prior); ok {
		e.Landmark = left(landmark, prior.LandmarkDF, shift.variance, shift.worth, "")
		e.SameFitter = left(bias, prior.BiasDF, scale.variance, scale.worth, "")
		e.Apart = true
		return
	}
	if !v.ok || v.visit == 0 {
		e.Landmark = left(landmark, prior.LandmarkDF, 0, 0, VisitsUnseen)
		e.SameFitter = left(bias, prior.BiasDF, 0, 0, VisitsUnseen)
		return
	}
	worth := float64(v.fit.errorDF) * square(v.visit/(v.tape+v.visit))
	factor := (v.fit.errorSS/float64(v.fit.errorDF) - v.tape) / v.visit
	e.Landmark = left(landmark, prior.LandmarkDF, factor*landmark*landmark, worth, "")
	e.SameFitter = left(bias, prior.BiasDF, factor*bias*bias, worth, "")
}

// seen is a variance as a study sees it, and what it is worth.
type seen struct{ variance, worth float64 }

// apart tells landmark and bias of a visit apart by their patterns along the
// limb. By least squares the girths of an occasion, less their mean over the
// block, are δ c′ + β C; what reading and placing add to the variance of δ and β
// is known, and what fitters differ by as a whole is taken out as in fitAdditive.
// ok is false unless both come out worth as much as a default: on a limb like a
// cone or a cylinder they don't.
func (e *Estimate) apart(blocks []block, prior Prior) (shift, scale seen, ok bool) {
	var shifts, scales sample
	var errorOfShift, errorOfScale float64
	var fitters index[string]
	for i, block := range blocks {
		mean := block.mean()
		slopes, girths := mean.Slopes(), mean.Girths()
		var cc, cg, gg float64
		for l := range mean {
			cc += slopes[l] * slopes[l]
			cg += slopes[l] * girths[l]
			gg += girths[l] * girths[l]
		}
		const least = 1e-3 // of the slopes that must not go along with girth
		determinant := cc*gg - cg*cg
		if determinant <= least*cc*gg {
			continue
		}
		for j, p := range block.profiles {
			var delta, beta float64
			for l, at := range p {
				ofShift := (gg*slopes[l] - cg*girths[l]) / determinant
				ofScale := (cc*girths[l] - cg*slopes[l]) / determinant
				delta += ofShift * (at.GirthMM - girths[l])
				beta += ofScale * (at.GirthMM - girths[l])
				each := square(e.Reading.InForce)/at.EffectivePasses + square(e.Level.InForce*slopes[l])
				errorOfShift += ofShift * ofShift * each
				errorOfScale += ofScale * ofScale * each
			}
			fitter := fitters.number(block.occasions[j].fitter)
			shifts.cells = append(shifts.cells, cell{i, fitter, delta})
			scales.cells = append(scales.cells, cell{i, fitter, beta})
		}
	}
	n := float64(len(shifts.cells))
	if n == 0 {
		return seen{}, seen{}, false
	}
	see := func(s sample, error, before float64) seen {
		s.subjects, s.columns = len(blocks), len(fitters.keys)
		fit, ok := s.fitAdditive()
		if !ok || fit.errorDF < 1 {
			return seen{}
		}
		df := float64(fit.errorDF)
		return seen{fit.errorSS/df - error, df * square(before*before/(before*before+error))}
	}
	shift = see(shifts, errorOfShift/n, prior.Sigmas.LandmarkMM)
	scale = see(scales, errorOfScale/n, prior.Sigmas.BiasSameFitter)
	return shift, scale, math.Min(shift.worth, scale.worth) >= defaultDF
}

// lastingError finds what fitters differ by as a whole.
func (e *Estimate) lastingError(v visits, prior Prior) {
	before := prior.lasting()
	if !v.ok || v.fit.columnDF < 1 || before == 0 {
		e.Lasting = left(math.Sqrt(before), prior.LastingDF, 0, 0, OneRater)
		return
	}
	df := float64(v.fit.columnDF)
	error := v.tape + v.visit
	expected := df*error + v.fit.spread*before
	uncertain := 2*expected*expected/df + 2*square(df*error)/float64(v.fit.errorDF)
	worth := 2 * square(before*v.fit.spread) / uncertain
	e.Lasting = left(math.Sqrt(before), prior.LastingDF, v.fit.columnVariance(), worth, "")
	for i, fitter := range v.fitters {
		for j := range e.ByFitter {
			if e.ByFitter[j].Fitter == fitter {
				e.ByFitter[j].BiasPercent = defined(100*v.fit.effects[i], ErrorUnbounded)
			}
		}
	}
}
