// Package pace learns from logged passes how long a painter really takes.
//
// A pass i with technique t on areas of fiddliness c was planned to take P and
// took M seconds. The logarithm of the ratio is
//
//	log(M/P) = μ + α_t + β_c + e
//
// with μ the painter's pace as a whole, α what a technique adds, β what
// fiddliness adds. All are shrunk towards the defaults: μ ~ N(0, 0.3²),
// α ~ N(0, s_α²), β ~ N(0, s_β²), and s_α, s_β and the noise have scaled
// inverse χ² priors (Ref: gelman2013, chapters 5, 11 and 14). The noise is
// contaminated (Ref: tukey1960): nearly always e ~ N(0, σ²), but where
// somebody forgot to stop the watch, or stopped it early, e ~ N(log 3, 1²); the
// share of those has the prior Beta(2, 38). Setting up is learned as if it were
// a technique of its own without fiddliness.
//
// The posterior is drawn by a seeded Gibbs sampler (Ref: gelman2013, chapter
// 11): the same passes give the same draws on every machine. A group's factor
// is the median of exp(μ + α + β); its interval the 5 % and 95 % points; its
// effective number of passes σ² ÷ Var(μ + α + β): as many passes of that group
// alone, without a prior, would tell as much.
//
// It leaves the plan alone: Model.Factors hands factors to whoever makes one,
// and Model.Sampler futures to whoever forecasts.
//
// Units: seconds; factors are ratios, 1 the default pace, 1.2 slower by a fifth.
//
// Start with Learn.
package pace
