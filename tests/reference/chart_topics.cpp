// SPDX-License-Identifier: Apache-2.0
// Shewhart, EWMA and CUSUM charts and their run lengths.
#include <cstdio>
#include <limits>

#include "reference/published_values.h"
#include "stats/cusum.h"
#include "stats/ewma.h"
#include "stats/shewhart.h"
#include "stats/summary.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void individuals(PublishedValues& published) {
  const auto limits = individuals_chart(published.sample("values"));
  published.compare("centre", limits->centre);
  published.compare("mr", limits->mean_range);
  published.compare("high", limits->high);
  published.compare("low", limits->low);
}

void c_chart(PublishedValues& published) {
  const auto limits = count_chart(std::vector<double>(25, 16));
  published.compare("centre", limits->centre);
  published.compare("high", limits->high);
  published.compare("low", limits->low);
}

void shewhart(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double x = 0;
    if (std::sscanf(id.c_str(), "arl %lf", &x) == 1) published.compare(id, shewhart_run_length(x));
    const auto n = [&] { return static_cast<std::size_t>(x); };
    if (std::sscanf(id.c_str(), "d2 %lf", &x) == 1) published.compare(id, range_d2(n()));
    if (std::sscanf(id.c_str(), "d3 %lf", &x) == 1) published.compare(id, range_d3(n()));
  }
}

void ewma_chart(PublishedValues& published) {
  EwmaDesign design{.target = 50, .sd = 2.0539, .lambda = 0.3, .width = 3};
  const auto run = run_ewma(design, published.sample("values"));
  for (std::size_t i = 0; i < run->z.size(); ++i) {
    published.compare("z " + std::to_string(i + 1), run->z[i]);
  }
  published.compare("signal", static_cast<double>(run->signal_at));
  published.compare("high", ewma_limits(design, 20).high);
  published.compare("low", ewma_limits(design, 20).low);
  design.exact_limits = true;
  published.compare("first_high", ewma_limits(design, 1).high);
  published.compare("first_low", ewma_limits(design, 1).low);
}

void ewma_lengths(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double lambda = 0, width = 0, shift = 0;
    const char* text = id.c_str();
    if (std::sscanf(text, "arl %lf %lf %lf", &lambda, &width, &shift) == 3) {
      published.compare(id, *ewma_run_length(lambda, width, shift));
    } else if (std::sscanf(text, "fast %lf %lf %lf", &lambda, &width, &shift) == 3) {
      published.compare(id, *ewma_run_length_fast(lambda, width, shift, 0.5));
    } else if (std::sscanf(text, "exact %lf %lf %lf", &lambda, &width, &shift) == 3) {
      published.compare(id, *ewma_run_length_exact(lambda, width, shift));
    }
  }
}

void crowder(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double x = 0;
    if (std::sscanf(id.c_str(), "arl %lf", &x) == 1) {
      published.compare(id, *ewma_run_length(0.5, 2, x));
    } else if (std::sscanf(id.c_str(), "width %lf", &x) == 1) {
      published.compare(id, *ewma_width_for_run_length(x, 250));
    }
  }
}

void cusum_chart(PublishedValues& published) {
  const auto& groups = published.sample("groups");
  const auto run = run_cusum({.target = 325, .k = 0.3175, .h = 4.1959}, groups);
  const auto summary = summarize(groups);
  if (!run || !summary) return published.problem("the chart does not run");
  published.compare("signal", static_cast<double>(run->signal_at));
  published.compare("mean", summary->mean);
  published.compare("sd", summary->sd);
  for (std::size_t i = 0; i < run->high.size(); ++i) {
    published.compare("high " + std::to_string(i + 1), run->high[i]);
    if (i < 11) published.compare("low " + std::to_string(i + 1), run->low[i]);
  }
}

void lucas_crosier(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double shift = 0;
    if (std::sscanf(id.c_str(), "arl %lf", &shift) == 1) {
      published.compare(id, *cusum_run_length(0.5, 4, shift));
    } else if (std::sscanf(id.c_str(), "fast %lf", &shift) == 1) {
      published.compare(id, *cusum_run_length(0.5, 4, shift, 2));
    }
  }
}

void textbook_cusum(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double h = 0, shift = 0;
    const char* text = id.c_str();
    if (std::sscanf(text, "two %lf %lf", &h, &shift) == 2) {
      published.compare(id, *cusum_run_length(0.5, h, shift));
    } else if (std::sscanf(text, "one %lf %lf", &h, &shift) == 2) {
      published.compare(id, *cusum_run_length_one_sided(0.5, h, shift));
    } else if (std::sscanf(text, "fast %lf %lf", &h, &shift) == 2) {
      published.compare(id, *cusum_run_length(0.5, h, shift, h / 2));
    } else if (std::sscanf(text, "h1 %lf", &h) == 1) {
      published.compare(id, *cusum_h_for_run_length(0.5, h, false));
    } else if (std::sscanf(text, "h %lf", &h) == 1) {
      published.compare(id, *cusum_h_for_run_length(0.5, h, true));
    }
  }
}

void early_cusum(PublishedValues& published) {
  // The paper's own chain is finer than its table; 300 states are within its digits.
  published.compare("brook 0", *cusum_run_length_markov(0.5, 3, 0, 300));
  published.compare("brook 1.5", *cusum_run_length_markov(0.5, 3, 1.5, 300));
  for (const auto& id : published.ids()) {
    double shift = 0;
    if (std::sscanf(id.c_str(), "vance %lf", &shift) == 1) {
      published.compare(id, *cusum_run_length_one_sided(0, 10, shift));
    }
  }
  published.compare("other", *cusum_run_length_one_sided(0.25, 8, 2.5));
  published.compare("other_fast", *cusum_run_length_one_sided(0.25, 8, 2.5, 0.1));
}

void siegmund(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double h = 0, shift = 0;
    if (std::sscanf(id.c_str(), "sieg %lf %lf", &h, &shift) >= 1) {
      published.compare(id, *cusum_run_length_siegmund(0.5, h, shift));
    }
  }
}

void count_cusum(PublishedValues& published) {
  const double poisson = std::numeric_limits<double>::infinity();
  for (const auto& id : published.ids()) {
    CountCusum chart{.k = 0.25, .h = 10, .head_start = 0, .lattice = 0.25, .up = true};
    if (id.find("fast") != std::string::npos) chart.head_start = 5;
    if (id.find("lower") != std::string::npos) chart.up = false;
    published.compare(id, *count_cusum_run_length(chart, 0.25, poisson));
  }
}

}  // namespace

std::vector<NamedTopic> chart_topics() {
  return {{"handbook_individuals.json", individuals},
          {"handbook_c_chart.json", c_chart},
          {"montgomery_shewhart.json", shewhart},
          {"handbook_ewma.json", ewma_chart},
          {"lucas_saccucci_ewma.json", ewma_lengths},
          {"montgomery_ewma.json", ewma_lengths},
          {"crowder_ewma.json", crowder},
          {"handbook_cusum.json", cusum_chart},
          {"lucas_crosier_cusum.json", lucas_crosier},
          {"textbook_cusum.json", textbook_cusum},
          {"early_cusum.json", early_cusum},
          {"siegmund.json", siegmund},
          {"lucas_count_cusum.json", count_cusum}};
}

}  // namespace nthtree::reference
