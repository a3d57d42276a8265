// SPDX-License-Identifier: Apache-2.0
//
// PostgreSQL's own client library (libpq) without its sharp edges: a connection that closes itself
// and comes back, values in binary, and one remembered failure instead of a check at each call.
//
// Not an abstraction over databases. After a failure every call does nothing and gives back
// emptiness until clear_failure. Errors carry the ids that store.h names. One thread.
//
//   PgConnection database;
//   Status opened = database.open("postgresql://hub@db.farm/nthtree");
//   PgRows rows = database.query("SELECT a FROM t WHERE b = $1", PgValues().add(7));
//   for (int row = 0; row < rows.size(); ++row) use(rows.integer(row, 0));
#pragma once

#include <libpq-fe.h>

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace nthtree::hub {

// Parameters, in the order of $1, $2, …
class PgValues {
 public:
  PgValues& add(std::int64_t value);          // bigint
  PgValues& add_bytes(std::string_view bytes);  // bytea
  PgValues& add_text(std::string_view text);    // text; UTF-8 without U+0000
  PgValues& add_all(const std::vector<std::int64_t>& values);           // bigint[]
  PgValues& add_all_bytes(const std::vector<std::string_view>& values);  // bytea[]

 private:
  friend class PgConnection;
  PgValues& add_value(Oid type, std::string bytes);
  std::vector<Oid> types_;
  std::vector<std::string> values_;
};

class PgRows {
 public:
  explicit PgRows(PGresult* result = nullptr) : result_(result, PQclear) {}
  int size() const { return result_ ? PQntuples(result_.get()) : 0; }
  // How many rows a statement that gives none has changed.
  std::int64_t changed() const;
  std::int64_t integer(int row, int column) const;
  std::string_view bytes(int row, int column) const;  // while the rows live
  std::string text(int row, int column) const { return std::string(bytes(row, column)); }

 private:
  std::unique_ptr<PGresult, void (*)(PGresult*)> result_;
};

class PgConnection {
 public:
  PgConnection() : connection_(nullptr, PQfinish) {}

  // `set_up` is done after each connecting, again after a connection that was lost.
  base::Status open(const std::string& address,
                    std::function<void(PgConnection&)> set_up = nullptr);

  // Whether there is a connection; one that was lost is made anew. Not in a transaction.
  bool be_connected();
  void execute(const char* sql);  // any number of statements, without parameters
  // `sql` must live as long as the connection: it is prepared once, and known by its address.
  PgRows query(const char* sql, const PgValues& values = {});
  // Ends a transaction; a connection that is lost meanwhile leaves unsaid whether it was taken.
  void commit();
  bool is_in_transaction() const;

  const std::optional<base::Error>& failure() const { return failure_; }
  void fail(base::Error error) { failure_ = failure_ ? failure_ : std::move(error); }
  void clear_failure() { failure_.reset(); }

 private:
  void connect();
  PgRows checked(PGresult* result, bool is_commit);
  const std::string& prepared(const char* sql, const PgValues& values);

  std::string address_;
  std::function<void(PgConnection&)> set_up_;
  std::unique_ptr<PGconn, void (*)(PGconn*)> connection_;
  std::map<const char*, std::string> statements_;  // their names on the server
  std::optional<base::Error> failure_;
};

}  // namespace nthtree::hub
