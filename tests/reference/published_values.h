// SPDX-License-Identifier: Apache-2.0
//
// A set of published values: one JSON file of data/, and what our functions make of them.
//
// A file names its source, the status of the values (read, from memory, recomputed), samples and
// checks; a check is [id, quantity, published value, absolute tolerance, own status if unlike the
// file's]. More than half a unit of the last printed digit is allowed only where the file's head
// says why ("digits"), and no two checks of a file bear the same name. A topic is a function that compares every check of one file; a check that no topic
// compares, or a topic that asks for one that is not there, is a problem and fails the test.
//
//   PublishedValues published("lohr_dead_trees.json");
//   published.compare("ratio", ratio_estimate(...)->mean);
//   for (const Row& row : published.rows()) …
#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace nthtree::reference {

struct Row {
  std::string id;
  std::string quantity;
  double ours = 0;
  double published = 0;
  double tolerance = 0;  // absolute
  std::string status;
  bool from_print() const;  // not merely recomputed by another program
  bool met() const;      // |ours - published| <= tolerance, and ours is a number
};

class PublishedValues {
 public:
  explicit PublishedValues(const std::string& file);  // a name inside tests/reference/data

  const std::string& title() const { return title_; }
  const std::string& source() const { return source_; }
  const std::string& status() const { return status_; }
  std::string remarks() const;  // the head's digits and note, as sentences
  const std::vector<double>& sample(const std::string& name);  // empty, and a problem, if missing
  std::vector<std::string> ids() const;                        // of all checks, in file order
  const nlohmann::json& raw() const { return json_; }

  void compare(const std::string& id, double ours);
  // Adds a row that the file does not list as a check (points of a golden file).
  void add(Row row) { rows_.push_back(std::move(row)); }
  void problem(std::string text) { problems_.push_back(std::move(text)); }
  void finish();  // every check left over becomes a problem

  const std::vector<Row>& rows() const { return rows_; }
  const std::vector<std::string>& problems() const { return problems_; }

 private:
  nlohmann::json json_;
  std::string title_, source_, status_;
  std::map<std::string, std::vector<double>> samples_;
  std::vector<Row> checks_;
  std::map<std::string, std::size_t> open_;  // id to place in checks_, not yet compared
  std::vector<Row> rows_;
  std::vector<std::string> problems_;
};

using Topic = void (*)(PublishedValues&);
struct NamedTopic {
  const char* file;
  Topic topic;
};
// All topics; each topics file adds its own list.
std::vector<NamedTopic> all_topics();
std::vector<NamedTopic> summary_topics();
std::vector<NamedTopic> proportion_topics();
std::vector<NamedTopic> sample_size_topics();
std::vector<NamedTopic> count_topics();
std::vector<NamedTopic> decision_topics();
std::vector<NamedTopic> chart_topics();
std::vector<NamedTopic> estimator_topics();
std::vector<NamedTopic> golden_topics();
std::vector<NamedTopic> orchard_topics();
std::vector<NamedTopic> part_topics();
std::vector<NamedTopic> season_topics();

}  // namespace nthtree::reference
