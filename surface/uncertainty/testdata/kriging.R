# Makes what kriging.txt says of gstat. Run as: Rscript kriging.R > kriging.txt
# Debian 12: r-base-core 4.2.2, r-cran-gstat 2.1-0 (GPL-2 or later). No test needs it.
suppressMessages({library(sp); library(gstat)})

# An invented floor of 9.6 by 6.4 m: two hollows, a hump, a lean, and a reading error of about 1 mm.
set.seed(1)
n <- 44
shots <- data.frame(x = round(0.1 + 9.4 * runif(n), 2), y = round(0.1 + 6.2 * runif(n), 2))
hollow <- function(x, y, depth, wide) -depth * exp(-(x^2 + y^2) / (2 * wide^2))
shots$z <- with(shots, round(0.002 * x - 0.001 * y + hollow(x - 2.5, y - 4, 0.012, 1.1) + hollow(x - 7.2, y - 2, 0.018, 1.6) -
  hollow(x - 5, y - 5.5, 0.006, 0.7) + 0.001 * rnorm(n), 4))
places <- data.frame(x = c(0, 9.6, 9.6, 0, 4.8, -2, 12, round(9.6 * runif(13), 2)), y = c(0, 0, 6.4, 6.4, 3.2, 3, 8, round(6.4 * runif(13), 2)))

# nu, reach m, sill m2, own part m2: of each shot, not of the floor
fields <- list(c(0.5, 2.1, 4e-5, 1.2e-5), c(0.5, 0.4, 4e-5, 0), c(1.5, 1.7, 6e-5, 3e-6), c(1.5, 6, 2e-4, 2e-6), c(2.5, 1.3, 5e-5, 1e-6), c(2.5, 0.5, 3e-5, 3e-5))

# Blocks: middle, sides, m, and points along each side
blocks <- list(c(4.8, 3.2, 9.6, 6.4, 16, 8), c(7, 2, 3, 2.4, 8, 8), c(0.4, 3.2, 0.8, 6.4, 2, 16))

# gstat's "Mat" has no sqrt(2 nu) in the scale.
model <- function(f) {
  m <- if (f[1] == 0.5) vgm(f[3], "Exp", f[2]) else vgm(f[3], "Mat", f[2] / sqrt(2 * f[1]), kappa = f[1])
  if (f[4] > 0) vgm(f[4], "Err", 0, add.to = m) else m
}
say <- function(...) cat(..., sep = " ", fill = FALSE)
num <- function(v) formatC(v, digits = 14, format = "g", width = 1)

say("# Ordinary (1) and universal (3 functions of drift: 1, x, y) kriging of an invented floor, by gstat",
  as.character(packageVersion("gstat")), "in", R.version.string, "\n")
say("# Metres. Made by kriging.R.\n")
say("# shot x y z\n# field nu reach sill own: the scale of the Matern family, variances in square metres\n")
say("# point field drift x y mean variance: of the floor, without what shots have of their own\n")
say("# block field drift x y wide high nx ny mean variance: mean over nx by ny places in the middles of equal parts of a rectangle about x, y\n")
for (i in 1:n) say("shot", num(shots$x[i]), num(shots$y[i]), sprintf("%.4f\n", shots$z[i]))
for (f in fields) say("field", paste(num(f), collapse = " "), "\n")
coordinates(shots) <- ~x + y
coordinates(places) <- ~x + y
for (i in seq_along(fields)) for (drift in c(1, 3)) {
  of <- if (drift == 1) z ~ 1 else z ~ x + y
  p <- krige(of, shots, places, model(fields[[i]]), debug.level = 0)
  at <- coordinates(places)
  for (j in seq_len(nrow(at))) say("point", i, drift, num(at[j, 1]), num(at[j, 2]), num(p$var1.pred[j]), num(p$var1.var[j]), "\n")
  for (b in blocks) {
    off <- expand.grid(x = (seq_len(b[5]) - (b[5] + 1) / 2) * b[3] / b[5], y = (seq_len(b[6]) - (b[6] + 1) / 2) * b[4] / b[6])
    mid <- data.frame(x = b[1], y = b[2])
    coordinates(mid) <- ~x + y
    p <- krige(of, shots, mid, model(fields[[i]]), block = off, debug.level = 0)
    say("block", i, drift, paste(num(b), collapse = " "), num(p$var1.pred), num(p$var1.var), "\n")
  }
}
