// SPDX-License-Identifier: Apache-2.0
//
// SQLite without its sharp edges: a connection and prepared statements that close themselves, and
// one remembered failure instead of a check at each call.
//
// Not an abstraction over databases. After a failure every call does nothing and gives back
// emptiness until clear_failure.
//
//   Database database;
//   Status opened = database.open("hub.sqlite", false);
//   Statement insert(database, "INSERT INTO t VALUES (?, ?)");
//   insert.bind(1, 7).bind(2, text).run();
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace nthtree::hub {

class Database {
 public:
  Database() = default;
  ~Database() { close(); }
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  base::Status open(const std::string& path, bool read_only);
  void close();
  void execute(const std::string& sql);
  // The first column of the first row as text; empty where there is none.
  std::string value(const std::string& sql);

  sqlite3* handle() { return handle_; }
  const std::optional<base::Error>& failure() const { return failure_; }
  void clear_failure() { failure_.reset(); }
  void note(int code);  // remembers it where it is a failure

 private:
  sqlite3* handle_ = nullptr;
  std::string path_;
  std::optional<base::Error> failure_;
};

class Statement {
 public:
  Statement(Database& database, const char* sql);
  ~Statement() { sqlite3_finalize(statement_); }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  // Columns and parameters as SQLite counts them: parameters from 1, columns from 0.
  Statement& bind(int index, std::int64_t value);
  // The bytes must stay until run or the last next.
  Statement& bind_blob(int index, std::string_view bytes);
  Statement& bind_text(int index, std::string_view text);
  bool next();  // a row is there; resets itself after the last
  void run();   // to the end, and ready for the next use
  void reset();
  std::int64_t integer(int column) { return sqlite3_column_int64(statement_, column); }
  std::string_view blob(int column);

 private:
  Database& database_;
  sqlite3_stmt* statement_ = nullptr;
};

}  // namespace nthtree::hub
