package org.holebook.app

import android.webkit.WebResourceResponse
import java.io.ByteArrayInputStream
import java.io.File
import java.io.InputStream
import org.holebook.app.shell.header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** Converts the notebook's responses for the WebView. */
object WebResponses {
    private val REASONS = mapOf(
        200 to "OK",
        204 to "No Content",
        400 to "Bad Request",
        403 to "Forbidden",
        404 to "Not Found",
        405 to "Method Not Allowed",
        410 to "Gone",
        422 to "Unprocessable Content",
        500 to "Internal Server Error",
        503 to "Service Unavailable",
    )

    /** Converts [response]. A file is streamed, never read whole into memory. */
    fun of(response: Response): WebResourceResponse {
        val contentType = response.header("content-type").orEmpty()
        val type = contentType.substringBefore(';').trim().ifEmpty { "text/plain" }
        val charset = if (type.startsWith("text/")) "utf-8" else null
        val status = response.status.toInt()
        val reason = REASONS[status] ?: "Other"
        val headers = response.headers.filter { it.name != "content-type" }
            .associate { it.name to it.value }
        return WebResourceResponse(type, charset, status, reason, headers, stream(response.body))
    }

    /** The response to requests outside the notebook. */
    fun forbidden(): WebResourceResponse {
        val reason = REASONS.getValue(403)
        return WebResourceResponse("text/plain", "utf-8", 403, reason, emptyMap(), noBytes())
    }

    private fun stream(body: ResponseBody): InputStream = when (body) {
        is ResponseBody.Text -> ByteArrayInputStream(body.value.toByteArray())
        is ResponseBody.File -> File(body.value).inputStream()
        is ResponseBody.Bytes -> ByteArrayInputStream(body.value)
        ResponseBody.Empty -> noBytes()
    }

    private fun noBytes() = ByteArrayInputStream(ByteArray(0))
}
