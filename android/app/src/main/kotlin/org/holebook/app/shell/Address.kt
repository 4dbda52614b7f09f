package org.holebook.app.shell

import java.io.ByteArrayOutputStream
import java.nio.ByteBuffer
import java.nio.charset.CharacterCodingException
import java.nio.charset.CodingErrorAction
import org.holebook.core.Pair

/** An address that is not percent-encoded UTF-8. [reason] is a sentence for the user. */
class InvalidAddress(val reason: String) : Exception(reason)

/** A path and a query, decoded. Parsed strictly, as the shop computer's carrier does. */
data class Address(val path: String, val query: List<Pair>) {
    /** The query parameter of that name. */
    fun parameter(name: String): String? = query.firstOrNull { it.name == name }?.value

    companion object {
        /**
         * Parses the path and query of an address, such as `/hole/0?notice=reading`.
         *
         * @throws InvalidAddress if it is not well formed.
         */
        fun parse(encoded: String): Address {
            val path = decode(encoded.substringBefore('?'))
            val query = encoded.substringAfter('?', "").split('&').filter { it.isNotEmpty() }
            return Address(path, query.map(::parsePair))
        }

        private fun parsePair(encoded: String): Pair {
            val text = encoded.replace('+', ' ')
            return Pair(decode(text.substringBefore('=')), decode(text.substringAfter('=', "")))
        }

        private fun decode(encoded: String): String {
            val bytes = ByteArrayOutputStream(encoded.length)
            var at = 0
            while (at < encoded.length) {
                if (encoded[at] != '%') {
                    val end = encoded.indexOf('%', at).let { if (it < 0) encoded.length else it }
                    bytes.write(encoded.substring(at, end).toByteArray())
                    at = end
                } else {
                    bytes.write(hexByte(encoded, at + 1))
                    at += 3
                }
            }
            return utf8(bytes.toByteArray())
        }

        private fun hexByte(encoded: String, at: Int): Int {
            val high = encoded.getOrNull(at)?.digitToIntOrNull(16)
            val low = encoded.getOrNull(at + 1)?.digitToIntOrNull(16)
            if (high == null || low == null) {
                throw InvalidAddress(
                    "A % in the address is not followed by two hexadecimal digits; " +
                        "go back to the castings.",
                )
            }
            return high * 16 + low
        }

        private fun utf8(bytes: ByteArray): String {
            if (bytes.contains(0)) {
                throw InvalidAddress("The address contains a zero byte; go back to the castings.")
            }
            val strict = Charsets.UTF_8.newDecoder()
                .onMalformedInput(CodingErrorAction.REPORT)
                .onUnmappableCharacter(CodingErrorAction.REPORT)
            return try {
                strict.decode(ByteBuffer.wrap(bytes)).toString()
            } catch (_: CharacterCodingException) {
                throw InvalidAddress("The address is not UTF-8 text; go back to the castings.")
            }
        }
    }
}
