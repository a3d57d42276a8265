// SPDX-License-Identifier: Apache-2.0
// Sample sizes and fixed-precision stop lines.
#include <cstdio>

#include "reference/published_values.h"
#include "stats/sample_size.h"
#include "stats/stop_lines.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

double whole(double n) { return static_cast<double>(whole_units(n)); }

void epir(PublishedValues& published) {
  const double srs = *sample_size_for_proportion(0.15, 0.2 * 0.15);
  published.compare("srs", srs);
  published.compare("srs_whole", whole(srs));
  const double deff = design_effect(0.02, 20);
  const double trials = *sample_size_for_proportion(0.20, 0.05) * deff;
  published.compare("deff", deff);
  published.compare("bennett", trials);
  published.compare("bennett_clusters", trials / 20);
  published.compare("bennett_whole", whole(trials / 20));
  const double plain = *sample_size_for_proportion(0.46, 0.1 * 0.46, 0.90);
  const double equal = plain * design_effect(0.20, 75) / 75;
  published.compare("deff75", design_effect(0.20, 75));
  published.compare("clusters75", equal);
  published.compare("clusters75_whole", whole(equal));
  const double unequal = plain * design_effect(0.20, 75, 35) / 75;
  const double finite = corrected_for_population_proportion(unequal, 220);
  published.compare("unequal_whole", whole(unequal));
  published.compare("unequal_finite", finite);
  published.compare("unequal_finite_whole", whole(finite));
}

void equivalence(PublishedValues& published) {
  published.compare("machin", whole(*sample_size_for_equivalence(2, 8, 5, 0.05, 0.80)));
  const double chow = *sample_size_for_equivalence(1, 10, 5, 0.05, 0.80);
  published.compare("chow", whole(chow));
  published.compare("chow_raw", chow);
  published.compare("chow_power", *equivalence_power(1, 10, 5, 75));
}

void cochran(PublishedValues& published) {
  published.compare("mean_finite", corrected_for_population(35, 200));
  published.compare("proportion_finite", corrected_for_population_proportion(96.04, 500));
  for (const auto& id : published.ids()) {
    double cv = 0, confidence = 0;
    if (std::sscanf(id.c_str(), "n %lf %lf", &cv, &confidence) == 2) {
      published.compare(id, static_cast<double>(
                           *sample_size_for_mean(cv / 100, 0.10, confidence / 100)));
    } else if (std::sscanf(id.c_str(), "z %lf", &cv) == 1) {
      published.compare(id, whole(*sample_size_for_mean_normal(cv / 100, 0.10)));
    }
  }
  const auto n = [](double cv, double population) {
    return static_cast<double>(*sample_size_for_mean(cv, 0.10, 0.95, population));
  };
  const double unlimited = std::numeric_limits<double>::infinity();
  published.compare("br", n(0.4144287, unlimited));
  published.compare("br_finite", n(0.4144287, 224));
  published.compare("st", n(0.2271953, unlimited));
  published.compare("st_finite", n(0.2271953, 187));
  published.compare("deer_once",
                    corrected_for_population(*sample_size_for_mean_normal(30.0 / 200, 0.05), 278));
}

void stop_lines(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double precision = 0, n = 0;
    if (std::sscanf(id.c_str(), "green %lf %lf", &precision, &n) == 2) {
      published.compare(id, *green_stop_line(2.5, 1.4, precision, n));
    } else if (std::sscanf(id.c_str(), "kuno %lf %lf", &precision, &n) == 2) {
      published.compare(id, *kuno_stop_line(2, 1.05, precision, n));
    }
  }
  published.compare("nb_n", *negative_binomial_sample_size(150, 20, 0.10));
  published.compare("nb_line", *negative_binomial_stop_line(20, 0.10, 10));
}

}  // namespace

std::vector<NamedTopic> sample_size_topics() {
  return {{"epir_sample_size.json", epir},
          {"equivalence_sample_size.json", equivalence},
          {"cochran_sample_size.json", cochran},
          {"green_kuno.json", stop_lines}};
}

}  // namespace nthtree::reference
