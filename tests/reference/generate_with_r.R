# SPDX-License-Identifier: Apache-2.0
# Writes data/golden_survey.json, golden_run_lengths.json, golden_negative_binomial.json and
# golden_variance_components.json.
#
# Made with R 4.2.2, survey 4.1-1, spc 0.6.7, MASS 7.3-58.2, lme4 1.1-31, boot 1.3-28.1 (Debian 12).
# Run from this folder: Rscript generate_with_r.R. The tests read the frozen files, never R.
suppressMessages({library(survey); library(spc); library(MASS); library(lme4); library(boot)})
set.seed(1918, kind = "Mersenne-Twister", normal.kind = "Inversion")

number <- function(x) {
  text <- sprintf("%.15g", x)
  if (length(x) == 1) text else paste0("[", paste(text, collapse = ", "), "]")
}
version_of <- function(...) {
  packages <- c(...)
  paste0("R ", getRversion(), "; ",
         paste(packages, sapply(packages, function(p) as.character(packageVersion(p))),
               collapse = ", "), " (generate_with_r.R)")
}
# checks: list of c(id, quantity, value, relative tolerance)
write_golden <- function(file, title, source, samples, checks) {
  lines <- c("{", sprintf('  "title": "%s",', title), sprintf('  "source": "%s",', source),
             '  "status": "recomputed",', '  "samples": {')
  sample_lines <- mapply(function(name, x) sprintf('    "%s": %s', name, number(x)),
                         names(samples), samples)
  lines <- c(lines, paste(sample_lines, collapse = ",\n"), "  },", '  "checks": [')
  check_lines <- sapply(checks, function(x) {
    value <- as.numeric(x[3])
    sprintf('    ["%s", "%s", %s, %.3g]', x[1], x[2], number(value),
            max(abs(value), 1e-12) * as.numeric(x[4]))
  })
  writeLines(c(lines, paste(check_lines, collapse = ",\n"), "  ]", "}"), file.path("data", file))
  cat(file, length(checks), "checks\n")
}

# --- cluster proportions, ratio and two-phase estimators -----------------------------------------
samples <- list(); checks <- list()
for (set in 1:6) {
  m <- c(5, 5, 8, 10, 12, 15)[set]
  parts <- c(2, 2, 1, 2, 3, 1)[set]
  p <- c(0.68, 0.4, 0.53, 0.85, 0.3, 0.6)[set]
  data <- do.call(rbind, lapply(1:m, function(i) {
    own <- plogis(qlogis(p) + rnorm(1, 0, 0.5))
    n <- sample(6:20, parts, replace = TRUE)
    data.frame(cluster = i, n = n, y = rbinom(parts, n, own))
  }))
  buds <- data.frame(cluster = rep(data$cluster, data$n),
                     y = unlist(mapply(function(y, n) rep(c(1, 0), c(y, n - y)), data$y, data$n,
                                       SIMPLIFY = FALSE)))
  design <- svydesign(id = ~cluster, weights = ~1, data = buds)
  estimate <- svymean(~y, design, deff = "replace")
  interval <- svyciprop(~y, design, method = "logit", df = m - 1)
  name <- paste0("cluster_", set)
  samples[[paste0(name, "_cluster")]] <- data$cluster
  samples[[paste0(name, "_successes")]] <- data$y
  samples[[paste0(name, "_trials")]] <- data$n
  n <- nrow(buds); mean_y <- coef(estimate)[[1]]
  checks <- c(checks, list(
    c(paste0(name, ".p"), "cluster proportion", mean_y, 1e-10),
    c(paste0(name, ".se"), "its standard error", SE(estimate)[[1]], 1e-10),
    c(paste0(name, ".low"), "logit t interval, low", confint(interval)[1], 1e-8),
    c(paste0(name, ".high"), "logit t interval, high", confint(interval)[2], 1e-8)))
}
data(api)
clusters <- aggregate(cbind(y = as.numeric(apiclus1$ell == 0), n = 1) ~ dnum, data = apiclus1, sum)
plain <- svydesign(id = ~dnum, weights = ~1, data = apiclus1)
interval <- svyciprop(~I(ell == 0), plain, method = "logit", df = nrow(clusters) - 1)
samples$api_cluster <- clusters$dnum
samples$api_successes <- clusters$y
samples$api_trials <- clusters$n
checks <- c(checks, list(
  c("api.p", "schools without learners, proportion", coef(interval)[[1]], 1e-8),
  c("api.se", "its standard error over districts", SE(svymean(~I(ell == 0), plain))[[2]], 1e-10),
  c("api.low", "logit t interval, low", confint(interval)[1], 1e-8),
  c("api.high", "logit t interval, high", confint(interval)[2], 1e-8)))
for (set in 1:4) {
  n <- c(12, 20, 8, 30)[set]; N <- c(60, 200, 40, 1000)[set]
  x <- rnbinom(n, size = 16, mu = 140)
  y <- round(x * rnorm(n, 1.12, 0.05))
  name <- paste0("pairs_", set)
  samples[[paste0(name, "_x")]] <- x
  samples[[paste0(name, "_y")]] <- y
  frame <- data.frame(x = x, y = y, N = N)
  design <- svydesign(id = ~1, fpc = ~N, data = frame)
  ratio <- svyratio(~y, ~x, design)
  checks <- c(checks, list(
    c(paste0(name, ".ratio"), "ratio of y to x", coef(ratio)[[1]], 1e-10),
    c(paste0(name, ".ratio_se"), "its standard error with finite correction", SE(ratio)[[1]],
      1e-10)))
}
samples$pairs_population <- c(60, 200, 40, 1000)
# Two-phase regression: survey's calibration estimator has the same point estimate.
n_first <- 120; x_first <- rnbinom(n_first, size = 16, mu = 140)
y_first <- round(x_first * rnorm(n_first, 1.12, 0.06)); second <- 1:25
fit <- lm(y ~ x, data.frame(x = x_first[second], y = y_first[second]))
samples$phase_x_first <- x_first
samples$phase_y <- y_first[second]
estimate <- predict(fit, data.frame(x = mean(x_first)))[[1]]
s2y <- var(y_first[second]); s2yx <- sum(resid(fit)^2) / 23
checks <- c(checks, list(
  c("phase.regression", "two-phase regression mean", estimate, 1e-10),
  c("phase.regression_se", "its standard error (Cochran's form)",
    sqrt(s2yx / 25 + (s2y - s2yx) / n_first), 1e-10)))
write_golden("golden_survey.json", "Cluster, ratio and two-phase estimators on made-up samples",
             version_of("survey"), samples, checks)

# --- run lengths ---------------------------------------------------------------------------------
checks <- list()
for (i in 1:12) {
  k <- round(runif(1, 0.2, 1), 2); h <- round(runif(1, 2, 7), 2); shift <- round(runif(1, 0, 2), 2)
  checks <- c(checks, list(
    c(sprintf("cusum_one %.2f %.2f %.2f", k, h, shift), "one-sided CUSUM run length",
      xcusum.arl(k, h, shift, sided = "one", r = 80), 1e-6),
    c(sprintf("cusum_two %.2f %.2f %.2f", k, h, shift), "two-sided CUSUM run length",
      xcusum.arl(k, h, shift, sided = "two", r = 80), 1e-6),
    c(sprintf("cusum_fir %.2f %.2f %.2f", k, h, shift), "two-sided, head start h/2",
      xcusum.arl(k, h, shift, hs = h / 2, sided = "two", r = 80), 1e-6)))
}
for (arl in c(100, 250, 370, 500, 1000)) {
  for (k in c(0.25, 0.5, 0.75)) {
    checks <- c(checks, list(c(sprintf("cusum_h %.2f %g 0", k, arl),
                               "h for a two-sided run length",
                               xcusum.crit(k, arl, sided = "two", r = 80), 1e-6)))
  }
}
for (i in 1:6) {
  mean <- c(2, 2, 4, 4, 10, 10)[i]; target <- c(1.5, 2, 3, 4, 9, 10)[i]
  k <- c(2, 3, 4, 5, 10, 11)[i]; h <- c(5, 6, 8, 9, 12, 15)[i]
  checks <- c(checks, list(c(sprintf("poisson_cusum %g %g %g", k, h, target),
                             "upper Poisson CUSUM run length",
                             pois.cusum.arl(target, k, h, m = 1, sided = "upper"), 1e-7)))
}
write_golden("golden_run_lengths.json", "Run lengths and limits of charts", version_of("spc"),
             list(none = 0), checks)

# --- negative binomial fits ----------------------------------------------------------------------
samples <- list(); checks <- list()
for (set in 1:6) {
  n <- c(12, 20, 30, 60, 100, 25)[set]; mu <- c(150, 180, 40, 6, 2, 150)[set]
  size <- c(20, 12, 8, 2, 1, 6)[set]
  y <- rnbinom(n, size = size, mu = mu)
  fit <- suppressWarnings(glm.nb(y ~ 1, control = glm.control(epsilon = 1e-14, maxit = 400)))
  name <- paste0("counts_", set)
  samples[[name]] <- y
  checks <- c(checks, list(
    c(paste0(name, ".k"), "k by maximum likelihood", fit$theta, 1e-5),
    c(paste0(name, ".k_se"), "its standard error", fit$SE.theta, 1e-5),
    c(paste0(name, ".log_likelihood"), "log likelihood", as.numeric(logLik(fit)), 1e-9)))
}
write_golden("golden_negative_binomial.json", "Negative binomial fits of made-up counts",
             version_of("MASS"), samples, checks)

# --- variance components -------------------------------------------------------------------------
samples <- list(); checks <- list()
for (set in 1:4) {
  parts <- c(8, 10, 12, 15)[set]; operators <- c(3, 4, 2, 5)[set]; trials <- c(2, 2, 3, 2)[set]
  design <- expand.grid(trial = 1:trials, operator = 1:operators, part = 1:parts)
  # Drawn again until no component is estimated at the border, where REML and moments part.
  repeat {
    value <- 150 + rnorm(parts, 0, 30)[design$part] + rnorm(operators, 0, 8)[design$operator] +
      rnorm(parts * operators, 0, 6)[(design$part - 1) * operators + design$operator] +
      rnorm(nrow(design), 0, 5)
    design$value <- round(value, 2)
    fit <- lmer(value ~ 1 + (1 | part) + (1 | operator) + (1 | part:operator), design,
                control = lmerControl(check.conv.singular = "ignore",
                                      optCtrl = list(xtol_abs = 1e-12, ftol_abs = 1e-14)))
    v <- as.data.frame(VarCorr(fit)); v <- setNames(v$vcov, v$grp)
    if (min(v) > 0.5) break
  }
  table <- summary(aov(value ~ factor(part) * factor(operator), design))[[1]]
  name <- paste0("gauge_", set)
  samples[[paste0(name, "_part")]] <- design$part
  samples[[paste0(name, "_operator")]] <- design$operator
  samples[[paste0(name, "_value")]] <- design$value
  checks <- c(checks, list(
    c(paste0(name, ".part_ss"), "part sum of squares (aov)", table[1, 2], 1e-9),
    c(paste0(name, ".operator_ss"), "operator sum of squares (aov)", table[2, 2], 1e-9),
    c(paste0(name, ".interaction_ss"), "interaction sum of squares (aov)", table[3, 2], 1e-9),
    c(paste0(name, ".residual_ss"), "residual sum of squares (aov)", table[4, 2], 1e-9),
    c(paste0(name, ".part"), "part variance (REML)", v[["part"]], 1e-4),
    c(paste0(name, ".operator"), "operator variance (REML)", v[["operator"]], 1e-4),
    c(paste0(name, ".interaction"), "interaction variance (REML)", v[["part:operator"]], 1e-4),
    c(paste0(name, ".repeatability"), "repeatability variance (REML)", v[["Residual"]], 1e-4)))
}
write_golden("golden_variance_components.json",
             "Crossed gauge studies: sums of squares and variance components",
             version_of("lme4"), samples, checks)

# --- two-phase designs by survey::twophase -------------------------------------------------------
samples <- list(); checks <- list()
for (set in 1:5) {
  n_first <- c(120, 80, 200, 60, 3000)[set]; n_second <- c(25, 16, 40, 20, 600)[set]
  x <- rnbinom(n_first, size = 16, mu = 140)
  y <- round(x * rnorm(n_first, 1.12, 0.06))
  frame <- data.frame(x = x, y = y, second = seq_len(n_first) <= n_second)
  frame$y[!frame$second] <- NA
  design <- twophase(id = list(~1, ~1), subset = ~second, data = frame)
  plain <- svymean(~y, design)
  by_regression <- svymean(~y, calibrate(design, phase = 2, formula = ~x))
  name <- paste0("phase_", set)
  samples[[paste0(name, "_x")]] <- x
  samples[[paste0(name, "_y")]] <- y[seq_len(n_second)]
  checks <- c(checks, list(
    c(paste0(name, ".mean"), "mean of the second phase alone", coef(plain)[[1]], 1e-10),
    c(paste0(name, ".regression"), "mean calibrated on the first phase", coef(by_regression)[[1]],
      1e-8)))
  # survey weighs squares by the calibrated weights, ours take the first phase's own spread: on
  # small samples the two estimates of one variance differ by a tenth, on a large one they meet.
  if (set == 5) {
    checks <- c(checks, list(c(paste0(name, ".regression_se"), "its standard error",
                               SE(by_regression)[[1]], 0.02)))
  }
}
write_golden("golden_two_phase.json", "Two-phase regression of made-up counts (survey::twophase)",
             version_of("survey"), samples, checks)
