// SPDX-License-Identifier: Apache-2.0
#include "hub/postgresql.h"

#include <algorithm>

namespace nthtree::hub {
namespace {

// Of PostgreSQL's catalog: these numbers never change (src/include/catalog/pg_type.dat).
constexpr Oid type_bytea = 17, type_bigint = 20, type_text = 25;
constexpr Oid type_bytea_array = 1001, type_bigint_array = 1016;

void append(std::string& to, std::int64_t value, int bytes) {
  for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8) {
    to += static_cast<char>(static_cast<std::uint64_t>(value) >> shift & 0xff);
  }
}

std::string array_head(Oid type, std::size_t size) {
  std::string head;
  append(head, size > 0, 4);  // dimensions
  append(head, 0, 4);         // no NULL in it
  append(head, type, 4);
  if (size == 0) return head;
  append(head, static_cast<std::int64_t>(size), 4);
  append(head, 1, 4);  // counted from
  return head;
}

// PostgreSQL 15, appendix A, "PostgreSQL Error Codes".
const char* id_of(std::string_view state) {
  const std::string_view group = state.substr(0, 2);
  if (state == "53100") return "disk_full";
  if (state == "40001" || state == "40P01" || state == "55P03" || state == "57014" ||
      state == "53200") {
    return "store_busy";  // serialization, deadlock, lock or statement time-out, memory
  }
  if (group == "08" || group == "57" || state == "53300" || state == "25P03" ||
      state == "25006") {
    return "store_away";  // lost, shut down, too many connections, idle too long, a stand-by
  }
  return "store_failed";
}

std::string one_line(const char* message) {
  std::string text = message ? message : "";
  std::replace(text.begin(), text.end(), '\n', ' ');
  while (!text.empty() && text.back() == ' ') text.pop_back();
  return text;
}

}  // namespace

PgValues& PgValues::add_value(Oid type, std::string bytes) {
  types_.push_back(type);
  values_.push_back(std::move(bytes));
  return *this;
}

PgValues& PgValues::add(std::int64_t value) {
  std::string bytes;
  append(bytes, value, 8);
  return add_value(type_bigint, std::move(bytes));
}

PgValues& PgValues::add_bytes(std::string_view bytes) {
  return add_value(type_bytea, std::string(bytes));
}

PgValues& PgValues::add_text(std::string_view text) {
  return add_value(type_text, std::string(text));
}

PgValues& PgValues::add_all(const std::vector<std::int64_t>& values) {
  std::string array = array_head(type_bigint, values.size());
  for (const std::int64_t value : values) {
    append(array, 8, 4);
    append(array, value, 8);
  }
  return add_value(type_bigint_array, std::move(array));
}

PgValues& PgValues::add_all_bytes(const std::vector<std::string_view>& values) {
  std::string array = array_head(type_bytea, values.size());
  for (const std::string_view value : values) {
    append(array, static_cast<std::int64_t>(value.size()), 4);
    array += value;
  }
  return add_value(type_bytea_array, std::move(array));
}

std::int64_t PgRows::changed() const {
  return result_ ? std::atoll(PQcmdTuples(result_.get())) : 0;
}

std::int64_t PgRows::integer(int row, int column) const {
  const std::string_view value = bytes(row, column);
  if (value.empty()) return 0;
  std::uint64_t number = value[0] & 0x80 ? ~std::uint64_t{0} : 0;  // of any width, with its sign
  for (const char c : value) number = number << 8 | static_cast<unsigned char>(c);
  return static_cast<std::int64_t>(number);
}

std::string_view PgRows::bytes(int row, int column) const {
  if (!result_) return {};
  return {PQgetvalue(result_.get(), row, column),
          static_cast<std::size_t>(PQgetlength(result_.get(), row, column))};
}

base::Status PgConnection::open(const std::string& address,
                                std::function<void(PgConnection&)> set_up) {
  address_ = address;
  set_up_ = std::move(set_up);
  connect();
  if (failure_) return *failure_;
  return base::Ok{};
}

void PgConnection::connect() {
  // What the address says beats these. A peer that is gone without a word is noticed in seconds.
  const char* const names[] = {"connect_timeout", "application_name", "tcp_user_timeout",
                               "keepalives_idle", "client_encoding", "dbname", nullptr};
  const char* const values[] = {"3", "nthtree-hub", "10000", "10", "UTF8", address_.c_str(),
                                nullptr};
  statements_.clear();
  connection_.reset(PQconnectdbParams(names, values, 1));
  if (PQstatus(connection_.get()) != CONNECTION_OK) {
    return fail({"store_away", one_line(PQerrorMessage(connection_.get())), "PostgreSQL"});
  }
  PQsetNoticeProcessor(connection_.get(), [](void*, const char*) {}, nullptr);
  if (set_up_) set_up_(*this);
}

bool PgConnection::be_connected() {
  if (failure_) return false;
  if (PQstatus(connection_.get()) != CONNECTION_OK) connect();
  return !failure_;
}

bool PgConnection::is_in_transaction() const {
  const PGTransactionStatusType status = PQtransactionStatus(connection_.get());
  return status != PQTRANS_IDLE && status != PQTRANS_UNKNOWN;  // unknown: no connection
}

PgRows PgConnection::checked(PGresult* result, bool is_commit) {
  PgRows rows(result);
  const ExecStatusType status = PQresultStatus(result);
  if (status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK || status == PGRES_EMPTY_QUERY) {
    return rows;
  }
  const bool is_lost = PQstatus(connection_.get()) != CONNECTION_OK;
  const char* state = result ? PQresultErrorField(result, PG_DIAG_SQLSTATE) : nullptr;
  const char* id = is_lost && is_commit ? "store_unsure"
                   : is_lost || !state  ? "store_away"
                                        : id_of(state);
  fail({id, one_line(PQerrorMessage(connection_.get())), "PostgreSQL"});
  return PgRows();
}

void PgConnection::execute(const char* sql) {
  if (!failure_) checked(PQexec(connection_.get(), sql), false);
}

void PgConnection::commit() {
  if (failure_) return;
  // A transaction that had failed is rolled back by COMMIT, which calls that a success.
  const PgRows done = checked(PQexec(connection_.get(), "COMMIT"), true);
}

const std::string& PgConnection::prepared(const char* sql, const PgValues& values) {
  std::string& name = statements_[sql];
  if (!name.empty()) return name;
  const std::string new_name = "s" + std::to_string(statements_.size());
  checked(PQprepare(connection_.get(), new_name.c_str(), sql,
                    static_cast<int>(values.types_.size()), values.types_.data()),
          false);
  if (!failure_) name = new_name;
  return name;
}

PgRows PgConnection::query(const char* sql, const PgValues& values) {
  if (failure_ || (!is_in_transaction() && !be_connected())) return PgRows();
  const std::string& name = prepared(sql, values);
  if (failure_) return PgRows();
  std::vector<const char*> pointers;
  std::vector<int> lengths, formats(values.values_.size(), 1);
  for (const std::string& value : values.values_) {
    pointers.push_back(value.data());
    lengths.push_back(static_cast<int>(value.size()));
  }
  return checked(PQexecPrepared(connection_.get(), name.c_str(),
                                static_cast<int>(pointers.size()), pointers.data(),
                                lengths.data(), formats.data(), 1),
                 false);
}

}  // namespace nthtree::hub
