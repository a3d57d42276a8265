// SPDX-License-Identifier: Apache-2.0
#include "hub/sqlite.h"

namespace nthtree::hub {

base::Status Database::open(const std::string& path, bool read_only) {
  close();
  path_ = path;
  const int flags =
      (read_only ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE) |
      SQLITE_OPEN_NOMUTEX;
  note(sqlite3_open_v2(path.c_str(), &handle_, flags, nullptr));
  sqlite3_extended_result_codes(handle_, 1);
  sqlite3_busy_timeout(handle_, 5000);
  if (failure_) return *failure_;
  return base::Ok{};
}

void Database::close() {
  sqlite3_close(handle_);
  handle_ = nullptr;
  failure_.reset();
}

void Database::note(int code) {
  const int kind = code & 0xff;
  if (failure_ || kind == SQLITE_OK || kind == SQLITE_ROW || kind == SQLITE_DONE) return;
  const bool is_busy = kind == SQLITE_BUSY || kind == SQLITE_LOCKED;
  const char* const id = kind == SQLITE_FULL ? "disk_full"
                         : is_busy           ? "store_busy"
                                             : "store_failed";
  failure_ = base::Error{id, handle_ ? sqlite3_errmsg(handle_) : sqlite3_errstr(code), path_};
}

void Database::execute(const std::string& sql) {
  if (!failure_) note(sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr));
}

std::string Database::value(const std::string& sql) {
  Statement statement(*this, sql.c_str());
  if (!statement.next()) return "";
  std::string text(statement.blob(0));
  statement.reset();
  return text;
}

Statement::Statement(Database& database, const char* sql) : database_(database) {
  if (database_.failure()) return;
  database_.note(sqlite3_prepare_v3(database_.handle(), sql, -1, SQLITE_PREPARE_PERSISTENT,
                                    &statement_, nullptr));
}

Statement& Statement::bind(int index, std::int64_t value) {
  if (statement_) database_.note(sqlite3_bind_int64(statement_, index, value));
  return *this;
}

Statement& Statement::bind_blob(int index, std::string_view bytes) {
  if (statement_) {
    database_.note(sqlite3_bind_blob64(statement_, index, bytes.data() ? bytes.data() : "",
                                       bytes.size(), SQLITE_STATIC));
  }
  return *this;
}

Statement& Statement::bind_text(int index, std::string_view text) {
  if (statement_) {
    database_.note(sqlite3_bind_text64(statement_, index, text.data() ? text.data() : "",
                                       text.size(), SQLITE_STATIC, SQLITE_UTF8));
  }
  return *this;
}

bool Statement::next() {
  if (!statement_ || database_.failure()) return false;
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  database_.note(code);
  reset();
  return false;
}

void Statement::run() {
  while (next()) {
  }
}

void Statement::reset() {
  if (statement_) sqlite3_reset(statement_);
}

std::string_view Statement::blob(int column) {
  const void* bytes = sqlite3_column_blob(statement_, column);
  const int size = sqlite3_column_bytes(statement_, column);
  return bytes ? std::string_view(static_cast<const char*>(bytes), static_cast<std::size_t>(size))
               : std::string_view();
}

}  // namespace nthtree::hub
