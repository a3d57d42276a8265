// SPDX-License-Identifier: Apache-2.0
#include "reference/published_values.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <set>

#include "support/places.h"

namespace nthtree::reference {
namespace {

std::string read_file(const std::string& path) {
  std::string text;
  std::FILE* file = std::fopen(path.c_str(), "rb");
  if (!file) return text;
  char block[65536];
  for (std::size_t n; (n = std::fread(block, 1, sizeof block, file)) > 0;) text.append(block, n);
  std::fclose(file);
  return text;
}

// Half a unit of the last digit of a published value, as short as it can be written.
double half_unit(double published) {
  char text[40];
  int digits = 1;
  do {
    std::snprintf(text, sizeof text, "%.*e", digits - 1, published);
  } while (std::strtod(text, nullptr) != published && ++digits < 18);
  const int exponent = std::atoi(std::strchr(text, 'e') + 1) - (digits - 1);
  return 0.5 * std::pow(10, std::min(exponent, 0));
}

// What is wrong with a check as it stands in the file; empty if nothing is.
std::string fault_of(const Row& row, bool digits_explained) {
  const double rounding = 1.02 * half_unit(row.published) + 1e-13 * std::fabs(row.published);
  if (!digits_explained && row.tolerance > rounding && row.tolerance > 2e-9) {
    return "allows more than its digits without saying why: " + row.quantity;
  }
  return row.quantity.size() > 90 ? "too long a name: " + row.quantity : "";
}

}  // namespace

bool Row::from_print() const { return status.find("recomputed") == std::string::npos; }

bool Row::met() const {
  return std::isfinite(ours) && std::fabs(ours - published) <= tolerance;
}

PublishedValues::PublishedValues(const std::string& file) {
  const std::string path = test::in_project("tests/reference/data/" + file);
  json_ = nlohmann::json::parse(read_file(path), nullptr, false);
  if (!json_.is_object()) {
    problem("cannot read " + file);
    return;
  }
  title_ = json_.value("title", "");
  source_ = json_.value("source", "");
  status_ = json_.value("status", "");
  if (title_.empty() || source_.empty() || status_.empty()) problem(file + " lacks its head");
  if (json_.contains("samples")) {
    for (const auto& [name, values] : json_["samples"].items()) {
      auto& sample = samples_[name];
      if (values.is_number()) sample.push_back(values.get<double>());
      for (const auto& value : values) {
        if (value.is_number()) sample.push_back(value.get<double>());
        if (!value.is_string()) continue;
        // A string holds one-digit values side by side.
        for (char digit : value.get_ref<const std::string&>()) sample.push_back(digit - '0');
      }
    }
  }
  if (!json_.contains("checks")) return;
  std::set<std::string> named;
  for (const auto& check : json_["checks"]) {
    Row row;
    row.id = check[0].get<std::string>();
    row.quantity = check[1].get<std::string>();
    row.published = check[2].get<double>();
    row.tolerance = check[3].get<double>();
    row.status = check.size() > 4 ? check[4].get<std::string>() : status_;
    // Random cross-checks are told apart by their ids, and say by how many digits they agree.
    const bool golden = file.rfind("golden_", 0) == 0;
    if (!named.insert(golden ? row.id : row.quantity).second) {
      problem(file + ": two checks are: " + row.quantity);
    }
    const bool explained = golden || json_.contains("digits");
    if (const std::string fault = fault_of(row, explained); !fault.empty()) problem(fault);
    if (!open_.emplace(row.id, checks_.size()).second) problem(file + ": twice: " + row.id);
    checks_.push_back(row);
  }
}

std::string PublishedValues::remarks() const {
  std::string text = json_.value("digits", "");
  if (!text.empty()) text = "Allowed: " + text + ".";
  const std::string note = json_.value("note", "");
  return text + (text.empty() || note.empty() ? "" : " ") + note;
}

const std::vector<double>& PublishedValues::sample(const std::string& name) {
  if (!samples_.count(name)) problem("no sample " + name);
  return samples_[name];
}

std::vector<std::string> PublishedValues::ids() const {
  std::vector<std::string> ids;
  for (const auto& check : checks_) ids.push_back(check.id);
  return ids;
}

void PublishedValues::compare(const std::string& id, double ours) {
  const auto found = open_.find(id);
  if (found == open_.end()) {
    problem("no open check " + id);
    return;
  }
  Row row = checks_[found->second];
  row.ours = ours;
  rows_.push_back(row);
  open_.erase(found);
}

void PublishedValues::finish() {
  for (const auto& [id, place] : open_) problem("never compared: " + id);
  open_.clear();
}

std::vector<NamedTopic> all_topics() {
  std::vector<NamedTopic> all;
  for (auto list : {orchard_topics, summary_topics, proportion_topics, sample_size_topics,
                    count_topics, decision_topics, chart_topics, estimator_topics,
                    golden_topics, part_topics, season_topics}) {
    for (const auto& topic : list()) all.push_back(topic);
  }
  return all;
}

}  // namespace nthtree::reference
