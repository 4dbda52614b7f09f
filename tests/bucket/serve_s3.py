#!/usr/bin/env python3
"""Serves an S3-compatible store that verifies every signature, for the tests of the bucket remote.

Packages (from PyPI): those in requirements.txt. Their server recomputes each signature with botocore, an implementation
other than ours, and rejects a mismatch.

Creates the bucket `parts`, to which the printed key has full access. Prints one line of JSON when it is ready,
{"port", "key", "secret"}, and serves until it is killed.
"""

import json
import os
import threading

os.environ.setdefault("AWS_ACCESS_KEY_ID", "invented")
os.environ.setdefault("AWS_SECRET_ACCESS_KEY", "invented")
os.environ.setdefault("AWS_DEFAULT_REGION", "us-east-1")

import boto3
import requests
from moto.server import ThreadedMotoServer

BUCKET = "parts"
FULL_ACCESS = {"Version": "2012-10-17", "Statement": [{"Effect": "Allow", "Action": "*", "Resource": "*"}]}


def main():
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    url = f"http://{host}:{port}"
    boto3.client("s3", endpoint_url=url).create_bucket(Bucket=BUCKET)
    iam = boto3.client("iam", endpoint_url=url)
    iam.create_user(UserName="bench")
    iam.put_user_policy(UserName="bench", PolicyName="all", PolicyDocument=json.dumps(FULL_ACCESS))
    key = iam.create_access_key(UserName="bench")["AccessKey"]
    # From here on every request is verified.
    requests.post(f"{url}/moto-api/reset-auth", data=b"0", timeout=10).raise_for_status()
    print(json.dumps({"port": port, "key": key["AccessKeyId"], "secret": key["SecretAccessKey"]}), flush=True)
    threading.Event().wait()


main()
