# Figures to hold analytics/reliability against; see README.md.
suppressMessages(library(psych))
data <- function(name) read.csv(file.path("../../../testdata/reference", name), comment.char = "#")
put <- function(name, value, lo = NA, hi = NA) cat(sprintf("%s,%.10g,%.10g,%.10g\n", name, value, lo, hi))
sd_with <- function(name, ss, df) put(name, sqrt(ss / df), sqrt(ss / qchisq(.975, df)), sqrt(ss / qchisq(.025, df)))

cat("name,value,lo,hi\n")
names <- c("ICC(1;1)", "ICC(2;1)", "ICC(3;1)", "ICC(1;k)", "ICC(2;k)", "ICC(3;k)")
iccs <- function(name, d) {
  r <- ICC(as.matrix(d), lmer = FALSE)$results
  for (i in 1:6) put(paste(name, names[i]), r$ICC[i], r[["lower bound"]][i], r[["upper bound"]][i])
}
sf <- data("shrout_fleiss_1979_icc.csv")
we <- data("weir_2005_a.csv")
iccs("shrout-fleiss", sf[, -1])
iccs("weir", we[, -1])

long <- data.frame(s = factor(rep(we$subject, 2)), t = factor(rep(1:2, each = 8)), v = c(we$trial1, we$trial2))
sd_with("weir sem", anova(lm(v ~ s + t, long))[3, 2], 7)
sd_with("weir tem", anova(lm(v ~ s, long))[2, 2], 8)

holes <- data.frame(s = factor(rep(sf$target, 4)), r = factor(rep(1:4, each = 6)), v = unlist(sf[, -1]))[-c(2, 9, 24), ]
a <- anova(lm(v ~ s + r, holes))
sd_with("holes sem", a[3, 2], a[3, 1])
put("holes raters ss", a[2, 2])
sd_with("holes tem", anova(lm(v ~ s, holes))[2, 2], 15)

b <- data("bland_altman_1986_pefr.csv")
d <- b$large_1 - b$mini_1
m <- (b$large_1 + b$mini_1) / 2
n <- length(d); t <- qt(.975, n - 1); s <- sd(d)
put("pefr bias", mean(d), mean(d) - t * s / sqrt(n), mean(d) + t * s / sqrt(n))
sd_with("pefr sd", s^2 * (n - 1), n - 1)
for (side in c(-1, 1)) {
  limit <- mean(d) + side * 1.96 * s
  put(paste("pefr limit", side), limit, limit - t * s * sqrt(3 / n), limit + t * s * sqrt(3 / n))
}
slope <- lm(d ~ m)
put("pefr slope", coef(slope)[2], confint(slope)[2, 1], confint(slope)[2, 2])
sd_with("pefr large tem", sum((b$large_1 - b$large_2)^2) / 2, n)
sd_with("pefr mini tem", sum((b$mini_1 - b$mini_2)^2) / 2, n)
