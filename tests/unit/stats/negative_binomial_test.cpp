// SPDX-License-Identifier: Apache-2.0
#include "stats/negative_binomial.h"

#include <doctest/doctest.h>

#include "stats/quantiles.h"
#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("k is above zero or infinite for any counts, never NaN") {
    for (const auto& counts : count_samples(300)) {
      for (const auto& fit : {fit_negative_binomial(counts),
                              fit_negative_binomial_moments(counts)}) {
        REQUIRE(fit.ok());
        CHECK(fit->k > 0);
        CHECK(fit->inverse_k >= 0);
        CHECK(std::isfinite(fit->inverse_k));
        CHECK(std::isfinite(fit->log_likelihood));
        CHECK(std::isfinite(fit->mean_standard_error));
        CHECK(std::isfinite(fit->k_standard_error));
      }
      const auto zeros = fit_negative_binomial_zeros(counts);
      if (zeros) CHECK(zeros->k > 0);
    }
  }

  TEST_CASE("no other k has a higher likelihood than the fitted one") {
    for (const auto& counts : count_samples(100)) {
      const auto fit = fit_negative_binomial(counts);
      for (double factor : {0.2, 0.5, 0.9, 1.1, 2.0, 5.0}) {
        const double other = fit->poisson() ? 0.001 * factor : fit->inverse_k * factor;
        CHECK(negative_binomial_log_likelihood(counts, fit->mean, other) <=
              fit->log_likelihood + 1e-7);
      }
      CHECK(negative_binomial_log_likelihood(counts, fit->mean, 0) <=
            fit->log_likelihood + 1e-7);
    }
  }

  TEST_CASE("the likelihood is the product of the masses") {
    const std::vector<double> counts = {0, 3, 1, 7, 2, 0};
    double sum = 0;
    for (double x : counts) {
      sum += std::log(negative_binomial_mass(static_cast<std::int64_t>(x), 2.5, 1.3));
    }
    CHECK(negative_binomial_log_likelihood(counts, 2.5, 1 / 1.3) == doctest::Approx(sum));
  }

  TEST_CASE("the fit finds the k it was drawn with") {
    nthtree::base::Random random(33);
    std::vector<double> inverse;
    for (int run = 0; run < 200; ++run) {
      std::vector<double> counts(60);
      for (double& x : counts) x = static_cast<double>(random.negative_binomial(150, 16));
      inverse.push_back(fit_negative_binomial(counts)->inverse_k);
    }
    double mean = 0;
    for (double x : inverse) mean += x / 200;
    CHECK(mean == doctest::Approx(1.0 / 16).epsilon(0.05));
  }

  TEST_CASE("all zeros are a Poisson of mean zero") {
    const auto fit = fit_negative_binomial(std::vector<double>{0, 0, 0});
    REQUIRE(fit.ok());
    CHECK(fit->mean == 0);
    CHECK(fit->poisson());
    CHECK(fit->log_likelihood == 0);
    CHECK(fit_negative_binomial_zeros(std::vector<double>{0, 0}).error().where == "counts");
  }

  TEST_CASE("goodness of fit accepts its own kind about as often as it says and refuses others") {
    nthtree::base::Random random(34);
    int refused = 0, refused_other = 0;
    for (int run = 0; run < 300; ++run) {
      std::vector<double> own(150), other(150);
      for (double& x : own) x = static_cast<double>(random.negative_binomial(4, 1.5));
      for (std::size_t i = 0; i < other.size(); ++i) {
        other[i] = random.chance(0.4) ? 0 : static_cast<double>(random.poisson(8));
      }
      refused += goodness_of_fit(own, *fit_negative_binomial(own))->p_value < 0.05 ? 1 : 0;
      refused_other +=
          goodness_of_fit(other, *fit_negative_binomial(other))->p_value < 0.05 ? 1 : 0;
    }
    CHECK(refused < 30);
    CHECK(refused_other > 290);
  }

  TEST_CASE("cells of the goodness of fit hold all counts and the wanted expectation") {
    for (const auto& counts : count_samples(100)) {
      const auto fit = fit_negative_binomial(counts);
      const auto test = goodness_of_fit(counts, *fit, 5);
      REQUIRE(test.ok());
      double observed = 0, expected = 0;
      for (std::size_t i = 0; i < test->cells.size(); ++i) {
        observed += test->cells[i].observed;
        expected += test->cells[i].expected;
        if (i > 0) CHECK(test->cells[i].low == test->cells[i - 1].high + 1);
        if (test->cells.size() > 1) CHECK(test->cells[i].expected >= 4.999);
      }
      const double fitted = fit->poisson() ? 1 : 2;
      CHECK(test->df == std::fmax(0, static_cast<double>(test->cells.size()) - 1 - fitted));
      CHECK(observed == static_cast<double>(counts.size()));
      CHECK(expected == doctest::Approx(static_cast<double>(counts.size())));
      CHECK(test->p_value >= 0);
      CHECK(test->p_value <= 1);
    }
    CHECK(goodness_of_fit(std::vector<double>{1.5, 2}, NegativeBinomialFit{}).error().where ==
          "counts");
  }

  TEST_CASE("negative counts and a single one are refused") {
    CHECK(fit_negative_binomial(std::vector<double>{-1, 2}).error().where == "counts");
    CHECK(fit_negative_binomial_moments(std::vector<double>{2}).error().id == "too_few_values");
  }
}
