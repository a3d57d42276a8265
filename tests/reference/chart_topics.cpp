// SPDX-License-Identifier: Apache-2.0
// CUSUM charts and their run lengths, and range constants.
#include <cstdio>
#include <limits>

#include "reference/published_values.h"
#include "stats/cusum.h"
#include "stats/range_constants.h"
#include "stats/summary.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void range_constants(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double x = 0;
    const auto n = [&] { return static_cast<std::size_t>(x); };
    if (std::sscanf(id.c_str(), "d2 %lf", &x) == 1) published.compare(id, range_d2(n()));
    if (std::sscanf(id.c_str(), "d3 %lf", &x) == 1) published.compare(id, range_d3(n()));
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
  return {{"range_constants.json", range_constants},
          {"handbook_cusum.json", cusum_chart},
          {"lucas_crosier_cusum.json", lucas_crosier},
          {"textbook_cusum.json", textbook_cusum},
          {"early_cusum.json", early_cusum},
          {"siegmund.json", siegmund},
          {"lucas_count_cusum.json", count_cusum}};
}

}  // namespace nthtree::reference
