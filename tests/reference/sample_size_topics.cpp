// SPDX-License-Identifier: Apache-2.0
// Sample sizes and fixed-precision stop lines.
#include <cstdio>

#include "reference/book.h"
#include "stats/sample_size.h"
#include "stats/stop_lines.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

double whole(double n) { return static_cast<double>(whole_units(n)); }

void epir(Book& book) {
  const double srs = *sample_size_for_proportion(0.15, 0.2 * 0.15);
  book.compare("srs", srs);
  book.compare("srs_whole", whole(srs));
  const double deff = design_effect(0.02, 20);
  const double trials = *sample_size_for_proportion(0.20, 0.05) * deff;
  book.compare("deff", deff);
  book.compare("bennett", trials);
  book.compare("bennett_clusters", trials / 20);
  book.compare("bennett_whole", whole(trials / 20));
  const double plain = *sample_size_for_proportion(0.46, 0.1 * 0.46, 0.90);
  const double equal = plain * design_effect(0.20, 75) / 75;
  book.compare("deff75", design_effect(0.20, 75));
  book.compare("clusters75", equal);
  book.compare("clusters75_whole", whole(equal));
  const double unequal = plain * design_effect(0.20, 75, 35) / 75;
  const double finite = corrected_for_population_proportion(unequal, 220);
  book.compare("unequal_whole", whole(unequal));
  book.compare("unequal_finite", finite);
  book.compare("unequal_finite_whole", whole(finite));
}

void equivalence(Book& book) {
  book.compare("machin", whole(*sample_size_for_equivalence(2, 8, 5, 0.05, 0.80)));
  const double chow = *sample_size_for_equivalence(1, 10, 5, 0.05, 0.80);
  book.compare("chow", whole(chow));
  book.compare("chow_raw", chow);
  book.compare("chow_power", *equivalence_power(1, 10, 5, 75));
}

void cochran(Book& book) {
  book.compare("mean_finite", corrected_for_population(35, 200));
  book.compare("proportion_finite", corrected_for_population_proportion(96.04, 500));
  for (const auto& id : book.ids()) {
    double cv = 0, confidence = 0;
    if (std::sscanf(id.c_str(), "n %lf %lf", &cv, &confidence) == 2) {
      book.compare(id, static_cast<double>(
                           *sample_size_for_mean(cv / 100, 0.10, confidence / 100)));
    } else if (std::sscanf(id.c_str(), "z %lf", &cv) == 1) {
      book.compare(id, whole(*sample_size_for_mean_normal(cv / 100, 0.10)));
    }
  }
  const auto n = [](double cv, double population) {
    return static_cast<double>(*sample_size_for_mean(cv, 0.10, 0.95, population));
  };
  const double unlimited = std::numeric_limits<double>::infinity();
  book.compare("br", n(0.4144287, unlimited));
  book.compare("br_finite", n(0.4144287, 224));
  book.compare("st", n(0.2271953, unlimited));
  book.compare("st_finite", n(0.2271953, 187));
  book.compare("deer_once",
               corrected_for_population(*sample_size_for_mean_normal(30.0 / 200, 0.05), 278));
}

void stop_lines(Book& book) {
  for (const auto& id : book.ids()) {
    double precision = 0, n = 0;
    if (std::sscanf(id.c_str(), "green %lf %lf", &precision, &n) == 2) {
      book.compare(id, *green_stop_line(2.5, 1.4, precision, n));
    } else if (std::sscanf(id.c_str(), "kuno %lf %lf", &precision, &n) == 2) {
      book.compare(id, *kuno_stop_line(2, 1.05, precision, n));
    }
  }
  book.compare("nb_n", *negative_binomial_sample_size(150, 20, 0.10));
  book.compare("nb_line", *negative_binomial_stop_line(20, 0.10, 10));
}

}  // namespace

std::vector<NamedTopic> sample_size_topics() {
  return {{"epir_sample_size.json", epir},
          {"equivalence_sample_size.json", equivalence},
          {"cochran_sample_size.json", cochran},
          {"green_kuno.json", stop_lines}};
}

}  // namespace nthtree::reference
