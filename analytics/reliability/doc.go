// Package reliability tells how well a workshop measures: how far two readings
// of the same thing lie apart, by one rater and between raters, and what change
// can therefore be seen.
//
// Analyse takes any values by subject, rater and trial (a girth, a volume, a
// gap; or a method such as tape or scan as the rater) and gives the technical
// error of measurement, the standard error of measurement, the smallest
// detectable change, the six intraclass correlations of Shrout and Fleiss and
// the limits of agreement of Bland and Altman, each with its 95 % interval. What
// the data do not allow is left undefined with a Reason, never guessed.
//
// Study.Estimate takes the girths of a repeatability study and gives the sigmas
// that the volume's error model starts from, drawn towards those that held
// before while the study is small. InForce runs all studies up to a date.
//
// # Sources
//
//   - Shrout PE, Fleiss JL, Psychol Bull 1979;86:420–428: the six ICCs and their
//     intervals.
//   - Bland JM, Altman DG, Lancet 1986;i:307–310: limits of agreement, their
//     intervals, and the correction for repeated readings.
//   - Weir JP, J Strength Cond Res 2005;19:231–240: SEM = √MSerror, MDC95 =
//     1.96 √2 SEM.
//   - Ulijaszek SJ, Kerr DA, Br J Nutr 1999;82:165–177 and Perini TA et al., Rev
//     Bras Med Esporte 2005;11:81–85: the technical error of measurement (the
//     abstracts were read; the formulas agree with Bland and Altman's
//     within-subject SD, which is the same figure).
//   - Gelman A et al., Bayesian Data Analysis, on the scaled inverse chi-square
//     distribution as the conjugate prior of a variance (from memory).
package reliability
