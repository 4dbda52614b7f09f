package org.holebook.app.shell

import org.holebook.core.Header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The value of a response header; [name] is in lower case. */
fun Response.header(name: String): String? = headers.firstOrNull { it.name == name }?.value

/** The address that a response redirects to; `null` if it is not a redirect. */
val Response.redirectTarget: String?
    get() = if (status.toInt() in 300..399) header("location") else null

/** The text in a response; empty if it carries a file or nothing. */
val Response.text: String
    get() = (body as? ResponseBody.Text)?.value.orEmpty()

/**
 * Adds the headers that every response carries: no type sniffing, no framing, and a policy that
 * allows nothing from elsewhere if the response has none of its own.
 */
fun Response.withSecurityHeaders(): Response {
    val defaults = listOf(
        Header("x-content-type-options", "nosniff"),
        Header("x-frame-options", "DENY"),
        Header("referrer-policy", "same-origin"),
        Header("cross-origin-opener-policy", "same-origin"),
        Header("cross-origin-resource-policy", "same-origin"),
        Header("content-security-policy", DENY_ALL),
    )
    return copy(headers = headers + defaults.filter { header(it.name) == null })
}

private const val DENY_ALL =
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
